// What a rule profile is: values with their sources, and nothing that decides anything.

/**
 * How far a value may be trusted. V1: read in the text, or on an authority's own page; V2: read in a
 * summary by others; M: from memory; M?: from memory and unsure; CP: common practice, no source;
 * SITE: given in the site file.
 */
export type Status = 'V1' | 'V2' | 'M' | 'M?' | 'CP' | 'SITE';

/** A value with where it comes from. */
export interface Cited<T> {
  value: T;
  /** The document and how it was read, or "common practice, no source". */
  source: string;
  /** Clause in that document, '' where none is known. */
  clause: string;
  /** Year of the document, where known. */
  year?: number;
  status: Status;
}

/** One number of a rule profile. */
export type Ruled = Cited<number>;

/** How long a full test must be at least: the rated duration, fixed minutes, or a part of the rated one. */
export type FullLength =
  | { rule: 'rated' }
  | { rule: 'minutes'; minutes: number }
  | { rule: 'part'; of: [number, number] };

/** Something people must do beside the automatic tests. */
export interface Duty extends Cited<string> {
  /** How often, in words, e.g. "daily". */
  every: string;
}

/** What a country's rules ask of the tests, as data. Intervals are counted in nights. */
export interface RuleProfile {
  /** Name a site file gives, [a-z0-9-]{1,24}. */
  name: string;
  title: string;
  brief: {
    /** Days between brief tests that the plan aims at, at most. */
    everyDays: Ruled;
    /** Days after the last brief test by which the next one must have been made. */
    latestDays: Ruled;
    /** Shortest interval the plan chooses on purpose, days. */
    earliestDays: Ruled;
    /** Fewest days between two brief tests that the rule permits; no plan goes below. */
    leastGapDays?: Ruled;
    /** Length, s, and the largest part of the rated duration it may take, as one part in N. */
    lengthSec: Ruled;
    partOfRated: Ruled;
    /** Length the rule asks at least, s. */
    leastSec?: Ruled;
    /** Uninterrupted supply needed afterwards, s. */
    rechargeSec: Ruled;
  };
  full: {
    /** Days after the last full test by which the next one must have been made. */
    latestDays: Ruled;
    /** How many days before that the plan may already take a suitable night. */
    earlierDays: Ruled;
    /** Uninterrupted supply needed before and after, s. */
    rechargeSec: Ruled;
    /** Time after its end in which batteries hold least and daylight helps most, s; a wish, no rule. */
    daylightAfterSec: Ruled;
  };
  /** What a full test must show at least, and what is accepted instead for buildings that are never empty. */
  fullLength: { least: Cited<FullLength>; instead?: Cited<FullLength> };
  /** Batteries must be full again, after any test, before people come in. */
  fullBeforeOpening?: Cited<boolean>;
  /** The first discharge of a new system: charge before it, s, and its length as a multiple of the least one. */
  commissioning?: { chargeSec: Ruled; factor: Ruled; leastMinutes: Ruled };
  records: {
    /** What the books must hold. */
    kept: Cited<string>;
    /** Years the books are kept at least. The log book itself deletes nothing. */
    years: Ruled;
  };
  /** For people: what no controller can see. */
  duties: Duty[];
  notes: string[];
  /** Intervals and length stand in a document of the building; the site file must give them. */
  bySchedule?: true;
  /** Due at 5 s, and from 60 s to the end, % of the commissioned battery current. */
  earlyPercent: Ruled;
  floorPercent: Ruled;
}
