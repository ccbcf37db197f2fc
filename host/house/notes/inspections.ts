// What all inspections of a site together say: when each duty was last done for each part, and what was found and has
// not been seen in order since. Entries may arrive days late, so it is their own time that counts. Only what is needed
// later is kept, so memory does not grow with the log book.
import { type Done, type DoneBefore, type Scope, scopesOfLuminaires } from '../../duties/due';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { type HumanCheck, type PointFields, signedInspection, siteNotes } from './inspected';
import { aboutOf, signedNote } from './notes';

/** Something that was found not in order, and has not been seen in order since. */
export interface Finding extends Done {
  duty: string;
  title: string;
  point: string;
  /** What was asked. */
  asked: string;
  /** Id of the luminaire that is not in order; '' if none was named. */
  luminaire: string;
  /** The part of the site that was looked at. */
  scope: Scope;
  words: string;
  /** UTC second at which it was first found. */
  since: number;
}

/** What was read so far, as JSON can hold it. */
export interface InspectionsState {
  since: number | null;
  last: [string, Done][];
  inOrder: [string, number][];
  findings: [string, Finding][];
}

export interface Inspections extends DoneBefore {
  /** A note, in log book order; one without our signature changes nothing. */
  take(entry: Entry): void;
  /** All that was found and not seen in order since, the oldest first. */
  findings(): Finding[];
  state(): InspectionsState;
}

const NONE: InspectionsState = { since: null, last: [], inOrder: [], findings: [] };

/** Duties that come once or after years: they stay due until an entry has nothing left to be put right. */
const UNTIL_IN_ORDER: ReadonlySet<string> = new Set(['handover', 'photometric']);

/** True if the entry counts as the duty done. */
function isSettled({ duty, points }: HumanCheck): boolean {
  if (!UNTIL_IN_ORDER.has(duty)) return true;
  const isOpen = points.some(({ mark }) => mark === 'not in order');
  return !isOpen && points.some(({ mark }) => mark === 'in order');
}

class SiteInspections implements Inspections {
  since: number | undefined;
  /** By duty and scope. */
  private readonly newest: Map<string, Done>;
  /** UTC second at which a point was last in order, by duty, point and scope. */
  private readonly inOrder: Map<string, number>;
  /** By duty, point, and luminaire or scope. */
  private readonly found: Map<string, Finding>;
  private readonly scopes: ReadonlyMap<string, Scope[]>;

  constructor(
    private readonly site: Site,
    private readonly keys: KeyRing,
    from: InspectionsState,
  ) {
    this.since = from.since ?? undefined;
    this.newest = new Map(from.last);
    this.inOrder = new Map(from.inOrder);
    this.found = new Map(from.findings);
    this.scopes = scopesOfLuminaires(site);
  }

  take(entry: Entry): void {
    const about = aboutOf(entry.address);
    if (!about.startsWith(`${this.site.id}/`)) return;
    // The host's own clock stands in its notes; a controller's may be years off.
    if (this.since === undefined && signedNote(this.keys, entry)) this.since = entry.at;
    if (about !== siteNotes(this.site)) return;
    const check = signedInspection(this.keys, entry);
    if (!check) return;
    const { duty, scope, done, who, points } = check;
    const key = `${duty}\n${scope}`;
    if (isSettled(check) && done >= (this.newest.get(key)?.done ?? 0))
      this.newest.set(key, { entry: check.entry, who, done });
    for (const point of points) this.takePoint(check, point);
  }

  last(duty: string, scope: Scope): Done | undefined {
    return this.newest.get(`${duty}\n${scope}`);
  }

  findings(): Finding[] {
    return [...this.found.values()].filter((one) => !this.isCleared(one)).sort((a, b) => a.since - b.since);
  }

  state(): InspectionsState {
    const findings = [...this.found].filter(([, one]) => !this.isCleared(one));
    return { since: this.since ?? null, last: [...this.newest], inOrder: [...this.inOrder], findings };
  }

  private takePoint(check: HumanCheck, { point, asked, mark, luminaires, words }: PointFields): void {
    const { duty, title, scope, done, who, entry } = check;
    if (mark === 'in order') {
      const key = `${duty}\n${point}\n${scope}`;
      this.inOrder.set(key, Math.max(done, this.inOrder.get(key) ?? 0));
    }
    if (mark !== 'not in order') return;
    const finding = { entry, who, done, duty, title, point, asked, scope, words };
    if (luminaires.length === 0) this.note({ ...finding, luminaire: '', since: done });
    for (const luminaire of luminaires) this.note({ ...finding, luminaire, since: done });
  }

  private note(finding: Finding): void {
    const { duty, point, luminaire, scope } = finding;
    const key = `${duty}\n${point}\n${luminaire === '' ? scope : `luminaire ${luminaire}`}`;
    const before = this.found.get(key);
    if (!before || this.isCleared(before, finding.done)) this.found.set(key, finding);
    else {
      const since = Math.min(before.since, finding.since);
      this.found.set(key, { ...(finding.done < before.done ? before : finding), since });
    }
  }

  /** Seen in order after it was found, in an inspection that covers it, and before `until`. */
  private isCleared(finding: Finding, until = Number.POSITIVE_INFINITY): boolean {
    return this.covering(finding).some((scope) => {
      const at = this.inOrder.get(`${finding.duty}\n${finding.point}\n${scope}`) ?? 0;
      return at > finding.done && at < until;
    });
  }

  private covering({ luminaire, scope }: Finding): Scope[] {
    if (luminaire !== '') return this.scopes.get(luminaire) ?? ['site', scope];
    const own = scope.startsWith('luminaire ')
      ? this.scopes.get(scope.slice('luminaire '.length))
      : undefined;
    return own ?? ['site', scope];
  }
}

/** The inspections of a site before the first one, or after those that made a state; see `Inspections`. */
export function createInspections(site: Site, keys: KeyRing, from: InspectionsState = NONE): Inspections {
  return new SiteInspections(site, keys, from);
}
