// What a rule profile is: values with their sources, and no decisions.

/**
 * How far a value may be trusted. V1: read in the text, or on an authority's own page; V2: read in someone
 * else's summary; OUR: our reading of words that are less exact than the value; M: from memory; M?: from memory
 * and unsure; CP: common practice, no source; NONE: no source gives it, so it is on the safe side; SITE: given
 * in the site file.
 */
export type Status = 'V1' | 'V2' | 'OUR' | 'M' | 'M?' | 'CP' | 'NONE' | 'SITE';

/** How words were read that we then had to interpret. */
export type ReadStatus = 'V1' | 'V2' | 'M';

/** A value with where it comes from. */
export interface Cited<T> {
  value: T;
  /** The document and how it was read, or a fixed sentence where there is none (CP, NONE). */
  source: string;
  /** Clause in that document, '' if unknown. */
  clause: string;
  /** Year of the document, if known. */
  year?: number;
  status: Status;
  /** For OUR: the words the value stands for, and how far to trust that the document has them. */
  reads?: { words: string; status: ReadStatus };
}

/** One number of a rule profile. */
export type Ruled = Cited<number>;

/** The shortest full test: the rated duration, fixed minutes, or a part of the rated duration. */
export type FullLength =
  | { rule: 'rated' }
  | { rule: 'minutes'; minutes: number }
  | { rule: 'part'; of: [number, number] };

/** Civil time from one time to the next; "once": when the installation is handed over, and never again. */
export type Interval = { days: number } | { months: number } | 'once';

/** The forms by which people enter what they have seen; what each asks is in host/duties. */
export type FormName =
  | 'look'
  | 'walk'
  | 'walk-and-rest'
  | 'condition'
  | 'signs'
  | 'battery-look'
  | 'mains-failure'
  | 'inhibit'
  | 'yearly'
  | 'service'
  | 'charging'
  | 'photometric'
  | 'key'
  | 'handover'
  | 'alterations'
  | 'competence';

/** Something people must do besides the automatic tests. */
export interface Duty extends Cited<string> {
  /** How often, in words, e.g. "daily". */
  every: string;
  /** How it is entered and when it is due again; not given where no date can be said. */
  due?: { form: FormName; interval: Cited<Interval> };
}

/** What a country's rules ask of the tests, as data. Intervals are counted in nights. */
export interface RuleProfile {
  /** Name a site file gives, [a-z0-9-]{1,24}. */
  name: string;
  title: string;
  brief: {
    /** Most days between brief tests that the plan aims at. */
    everyDays: Ruled;
    /** Days after the last brief test by which the next one must be done. */
    latestDays: Ruled;
    /** Days to which the authority may extend that; it counts only if the site file states the agreement. */
    agreedDays?: Ruled;
    /** Shortest interval the plan chooses deliberately, days. */
    earliestDays: Ruled;
    /** Fewest days the rule permits between two brief tests; no plan goes below it. */
    leastGapDays?: Ruled;
    /** Length, s, and the largest share of the rated duration it may take, as one part in N. */
    lengthSec: Ruled;
    partOfRated: Ruled;
    /** Shortest length the rule accepts, s. */
    leastSec?: Ruled;
    /** Uninterrupted supply needed afterwards, s. */
    rechargeSec: Ruled;
  };
  full: {
    /** Days after the last full test by which the next one must be done. */
    latestDays: Ruled;
    /** How many days before that the plan may use a suitable night. */
    earlierDays: Ruled;
    /** Uninterrupted supply needed before and after, s. */
    rechargeSec: Ruled;
    /**
     * Time after its end in which batteries hold least and daylight helps most, s; a preference, not a rule.
     */
    daylightAfterSec: Ruled;
  };
  /** What a full test must prove at least, and what is accepted instead in buildings that are never empty. */
  fullLength: { least: Cited<FullLength>; instead?: Cited<FullLength> };
  /** After any test, batteries must be full again before people come in. */
  fullBeforeOpening?: Cited<boolean>;
  /**
   * The first discharge of a new system: charge before it, s, and its length as a multiple of the shortest
   * full test.
   */
  commissioning?: { chargeSec: Ruled; factor: Ruled; leastMinutes: Ruled };
  records: {
    /** What the records must contain. */
    kept: Cited<string>;
    /** Years for which records must be kept. The log book itself deletes nothing. */
    years: Ruled;
  };
  /** For people: what a controller cannot see. */
  duties: Duty[];
  notes: string[];
  /** Intervals and length are set by a document of the building; the site file must give them. */
  bySchedule?: true;
  /** Time from loss of supply in which the rule wants light, s, where it is not the 5 s that are measured. */
  lightWithinSec?: Ruled;
  /** Required at 5 s, and from 60 s to the end, % of the commissioned battery current. */
  earlyPercent: Ruled;
  floorPercent: Ruled;
}
