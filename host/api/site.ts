// The site file as the page edits it: fields with what may be written, the data as it is written there, and changes.

/** What has an id in the file. */
export type Part = 'floors' | 'areas' | 'circuits' | 'luminaires';

export type Item = Record<string, unknown>;

/** One change; values are written as in the file. */
export type Change =
  /** A field of the site (`id` is ''), or of a thing with an id; null leaves it out. */
  | { do: 'set'; part: Part | 'site'; id: string; field: string; value: unknown }
  /** At the end of its list; a luminaire goes to the end of its circuit. */
  | { do: 'add'; part: Part; circuit?: string | undefined; item: Item }
  | { do: 'remove'; part: Part; id: string }
  /** Another id; all that names the thing is changed too. */
  | { do: 'rename'; part: Part; id: string; to: string }
  /** To the end of another circuit. */
  | { do: 'move'; part: 'luminaires'; id: string; to: string };

/** How a field is filled in. */
export type FieldKind =
  | 'text'
  | 'number'
  | 'date'
  | 'choice'
  | 'yes or no'
  | 'days'
  | 'dates'
  | 'hours'
  | 'group'
  | 'floor'
  | 'area'
  | 'areas'
  /** The circuit of a luminaire, which is no field of the file. */
  | 'circuit';

/** One field of a form. */
export interface FormField {
  name: string;
  /** What stands beside it, with its unit. */
  label: string;
  kind: FieldKind;
  /** What may be written, such as `a whole number from 1 to 2000`. */
  accepts: string;
  example: string;
  /** What holds where it is left empty; '' if it must be filled in. */
  otherwise: string;
  /** What its name does not say; '' if nothing. */
  more: string;
  /** For a choice. */
  options?: string[];
  /** For a group. */
  fields?: FormField[];
}

/** The data of the file, as written there: times are texts. Without what only programs and keys are in. */
export interface SiteFileData extends Item {
  floors: Item[];
  areas: Item[];
  circuits: (Item & { luminaires: Item[] })[];
}

/** A change that was saved and that the host does not work with yet. */
export interface TakingView {
  /** How much of the log book has been read for it. */
  percent: number;
  /** What it waits for, and what can be done, without a full stop; '' for nothing. */
  waits: string;
}

export interface SiteFileView {
  /** Why nothing can be changed here; '' if it can. */
  fixed: string;
  /** Name of the file. */
  file: string;
  /** Changes with every change of the file's text; '' if it cannot be read. */
  revision: string;
  /** Whether the running host works with this text; if not, it was changed since. */
  inForce: boolean;
  /** Null if the host is not taking over a change. */
  taking: TakingView | null;
  /** Null if the file cannot be read. */
  data: SiteFileData | null;
  /** By part of the file. */
  fields: Record<Part | 'site', FormField[]>;
}

export interface SiteChangeRequest {
  /** That of the text the changes were made for. */
  revision: string;
  who: string;
  changes: Change[];
}

/** What speaks against a change, and where. */
export interface SiteMistake {
  part: Part | 'site';
  /** Id of the thing; '' for the site. */
  id: string;
  /** Name of the field; '' for the thing as a whole. */
  field: string;
  /** Where it is, as `check` says it. */
  where: string;
  message: string;
}

export type SiteOutcome =
  | {
      ok: true;
      revision: string;
      answer: string;
      /** Whether the host is about to work with it; if not, it does so when it is started again. */
      taken: boolean;
    }
  | {
      ok: false;
      answer: string;
      mistakes: SiteMistake[];
      /** The data as it would be; null where it cannot be told. */
      data: SiteFileData | null;
      /** The file is another one by now. */
      stale?: true;
    };
