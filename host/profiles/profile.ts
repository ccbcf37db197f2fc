import { en50172 } from './en50172';

/** One value of a rule profile with where it comes from. */
export interface Ruled {
  value: number;
  /** Document, or "common practice, no source". */
  source: string;
  /** Clause in that document, '' where there is none. */
  clause: string;
  /** The value was not read in any text we hold. */
  fromMemory: boolean;
}

/** What a country's rules ask of the tests, as data. Intervals are counted in nights. */
export interface RuleProfile {
  name: string;
  title: string;
  brief: {
    /** Days between brief tests that the plan aims at, at most. */
    everyDays: Ruled;
    /** Days after the last brief test by which the next one must have been made. */
    latestDays: Ruled;
    /** Shortest interval the plan chooses on purpose, days. */
    earliestDays: Ruled;
    /** Length, s, and the largest part of the rated duration it may take, as one part in N. */
    lengthSec: Ruled;
    partOfRated: Ruled;
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
  };
  /** Due at 5 s, and from 60 s to the end, % of the commissioned battery current. */
  earlyPercent: Ruled;
  floorPercent: Ruled;
}

const profiles: RuleProfile[] = [en50172];

/** Names a site file may give as `profile`. */
export function profileNames(): string[] {
  return profiles.map((profile) => profile.name);
}

/** The rule profile of that name. Throws when there is none; a loaded site names one that exists. */
export function profileOf(name: string): RuleProfile {
  const found = profiles.find((profile) => profile.name === name);
  if (!found) throw new Error(`There is no rule profile "${name}"; there are: ${profileNames().join(', ')}.`);
  return found;
}
