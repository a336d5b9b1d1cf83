/**
 * What the server hands over, and what the page hands back. Lengths in mm, places in the vehicle's own axes:
 * x rearward, y to the right, z up.
 *
 * @typedef {[number, number]} Point
 * @typedef {(string | number)[]} Path Keys and list indexes in the YAML.
 *
 * @typedef {"space"|"step"|"panel"|"keep-out"|"member"|"pass"|"support"|"cover"|"exposed"|"opening"|"terminal"|"place"} Part
 * @typedef {"area"|"along"|"disc"|"at"} Form
 *
 * @typedef {object} Shape
 * @property {"profile"|"job"} file
 * @property {Path} path
 * @property {Part} part
 * @property {string} name
 * @property {string|null} [space]
 * @property {string[]|null} [spaces]
 * @property {string|null} [hazard]
 * @property {string|null} [kind]
 * @property {Form} form
 * @property {Point[]} points
 * @property {number|null} [width_mm]
 * @property {number|null} [radius_mm]
 * @property {Point|null} [heights_mm]
 * @property {number|null} [height_mm]
 * @property {number|null} [assumed_mm]
 * @property {boolean|null} [shielded]
 * @property {string|null} [pole]
 * @property {boolean} [partly] Whether some of its points cannot be read.
 *
 * @typedef {object} Fault
 * @property {"profile"|"job"} file
 * @property {Path|null} path
 * @property {number|null} [line]
 * @property {number|null} [column]
 * @property {string} where
 * @property {string} what
 * @property {string} cure
 * @property {"fault"|"advice"} severity
 *
 * @typedef {object} Task
 * @property {"profile"|"job"} file
 * @property {Path} path
 * @property {string} what
 * @property {string} why
 * @property {number|null} near_mm
 *
 * @typedef {object} FileState
 * @property {boolean} there
 * @property {string} [name]
 * @property {string} [unit]
 * @property {string} [text]
 *
 * @typedef {Record<string, any>} Data Parsed YAML: what a person may have written, whatever it is.
 *
 * @typedef {object} State
 * @property {number} revision
 * @property {boolean} can_undo
 * @property {boolean} can_redo
 * @property {string} folder
 * @property {{profile: FileState, job: FileState}} files
 * @property {{profile: Data|null, job: Data|null}} data
 * @property {Shape[]} shapes
 * @property {Fault[]} faults
 * @property {Task[]} tasks
 * @property {{file: string}|null} outside
 *
 * @typedef {object} Edit
 * @property {"profile"|"job"} file
 * @property {"set"|"add"|"remove"|"text"} op
 * @property {Path} path
 * @property {unknown} [value]
 *
 * @typedef {object} Measurement
 * @property {string} name
 * @property {string} ask
 * @property {string} from
 * @property {string} to
 * @property {number} usual_mm
 * @property {number} least_mm
 * @property {number} most_mm
 * @property {boolean} needed Nothing can be planned well without it.
 * @property {string} picture
 *
 * @typedef {object} VehicleType
 * @property {string} key
 * @property {string} name
 * @property {string} says
 * @property {string} picture
 * @property {Measurement[]} measurements
 *
 * @typedef {"mm"|"cm"|"in"} Unit
 * @typedef {"below"|"above"} SeenFrom
 *
 * @typedef {object} Ui What this window shows; the server knows nothing of it.
 * @property {string|null} space
 * @property {SeenFrom|null} seenFrom Null: as the space is usually seen.
 * @property {Path|null} selected
 * @property {"profile"|"job"} selectedFile
 * @property {number|null} point Which point of the selected part.
 * @property {string|null} tool Key of the tool that draws, null when picking.
 * @property {Unit} unit
 * @property {string} says The one sentence that stands below the plan.
 * @property {string[]} hidden Layers that are switched off.
 */
export {};
