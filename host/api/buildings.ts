// The overview of a host with several buildings: GET /api/overview (BuildingsView). Each building has the same interface as
// that of a host for one, below /b/<id>: GET /b/<id>/api/status for instance.

/** The state of a building in a word; of several the first here. */
export const BUILDING_WORDS = [
  'not served',
  'in doubt',
  'supply off',
  'supply not proven',
  'fault',
  'silent',
  'defects',
  'not known',
  'testing',
  'in order',
] as const;
export type BuildingWord = (typeof BUILDING_WORDS)[number];

/** One building. Counts are of circuits, but for luminaires and defects. */
export interface BuildingLine {
  /** '' while its site file cannot be read. */
  id: string;
  /** The name of the file while that cannot be read. */
  name: string;
  timeZone: string;
  simulated: boolean;
  word: BuildingWord;
  /** Why it is not served, or why its log book is in doubt: plain sentences; '' if neither. */
  trouble: string;
  circuits: number;
  luminaires: number;
  /** Supply off now and no test running; off when last heard, and silent since; and on battery for a test. */
  off: number;
  unproven: number;
  testing: number;
  faults: number;
  /** Silent, and never heard. */
  silent: number;
  neverHeard: number;
  /** Open or repaired and not tested since. */
  defects: number;
  /** The newest defect that is open. */
  newest: { luminaire: string; circuit: string; cause: string; since: number } | null;
  /** The next planned test, UTC second. */
  next: { circuit: string; at: number } | null;
}

export interface BuildingsView {
  /** UTC second. */
  now: number;
  /** The worst first. */
  buildings: BuildingLine[];
}
