/**
 * Questions asked faster than they are answered: one is under way, the newest one waits, all between are dropped,
 * and an answer is handed on only while nothing newer has been handed on. Nothing here touches the page.
 */

/**
 * @template Question, Answer
 */
export class Newest {
  /**
   * @param {(question: Question, number: number) => Promise<Answer>} ask
   * @param {(answer: Answer, number: number) => void} told called with every answer that is newer than all told before
   * @param {(problem: unknown) => void} [failed]
   */
  constructor(ask, told, failed = () => {}) {
    this.#ask = ask;
    this.#told = told;
    this.#failed = failed;
  }

  #ask;
  #told;
  #failed;
  #number = 0;
  #lastTold = 0;
  #underWay = false;
  /** @type {{question: Question, number: number} | null} */
  #waiting = null;

  /** Ask, or wait until the question under way is answered; what waited before is dropped. @param {Question} question */
  put(question) {
    this.#number += 1;
    this.#waiting = { question, number: this.#number };
    if (!this.#underWay) void this.#next();
  }

  /** Let no answer to what was asked so far be told any more. */
  forget() {
    this.#waiting = null;
    this.#lastTold = this.#number;
  }

  async #next() {
    const put = this.#waiting;
    if (!put) return;
    this.#waiting = null;
    this.#underWay = true;
    try {
      const answer = await this.#ask(put.question, put.number);
      if (put.number > this.#lastTold) {
        this.#lastTold = put.number;
        this.#told(answer, put.number);
      }
    } catch (problem) {
      this.#failed(problem);
    } finally {
      this.#underWay = false;
      void this.#next();
    }
  }
}
