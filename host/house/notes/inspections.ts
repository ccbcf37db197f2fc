// What all inspections of a site together say: when each duty was last done for each part, and what was found and has
// not been seen in order since. Entries may arrive days late, so it is their own time that counts. Only what is needed
// later is kept, so memory does not grow with the log book.
import { type Done, type DoneBefore, type Scope, scopesOfLuminaires } from '../../duties/due';
import { FORMS } from '../../duties/forms';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { idsOf, type ListedFields } from '../rows/listed';
import { type HumanCheck, signedInspection, siteNotes } from './inspected';
import { aboutOf, signedNote } from './notes';
import { Presence, type PresenceState } from './presence';
import { areaChanged } from './siteChange';
import { signedWithdrawal } from './withdrawn';

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

/** What is kept of one inspection. */
interface Look extends Done {
  title: string;
  /** Counts as the duty done. */
  isDone: boolean;
  /** Points that were in order. */
  inOrder: string[];
  found: Pick<Finding, 'point' | 'asked' | 'luminaire' | 'words'>[];
}

/** What was read so far, as JSON can hold it. */
export interface InspectionsState {
  since: number | null;
  looks: [string, Look[]][];
  presence: PresenceState;
}

export interface Inspections extends DoneBefore {
  /** A note, in log book order; one without our signature changes nothing. */
  take(entry: Entry): void;
  /** All that was found and not seen in order since, the oldest first. */
  findings(): Finding[];
  /** Another number after each entry that may have changed any of this; the same means that nothing has changed. */
  revision(): number;
  state(): InspectionsState;
}

const NONE: InspectionsState = { since: null, looks: [], presence: { first: 0, lamps: [], areas: [] } };

/** Looks kept for each thing that the newest of them tells. */
const KEPT = 3;

/** True if the entry counts as the duty done. */
function isDone({ duty, points }: HumanCheck): boolean {
  const form = Object.entries(FORMS).find(([name]) => name === duty)?.[1];
  if (!form?.untilInOrder) return true;
  const isOpen = points.some(({ mark }) => mark === 'not in order');
  return !isOpen && points.some(({ mark }) => mark === 'in order');
}

function lookOf(check: HumanCheck): Look {
  const { entry, who, done, title, points } = check;
  const inOrder = points.filter(({ mark }) => mark === 'in order').map(({ point }) => point);
  const found = points
    .filter(({ mark }) => mark === 'not in order')
    .flatMap(({ point, asked, luminaires, words }) =>
      (luminaires.length === 0 ? [''] : luminaires).map((luminaire) => ({ point, asked, luminaire, words })),
    );
  return { entry, who, done, title, isDone: isDone(check), inOrder, found };
}

/** The newest for each thing they tell, and those that are needed for more. @param looks newest first */
function needed(looks: readonly Look[], isNeeded: (look: Look) => boolean): Look[] {
  const counts = new Map<string, number>();
  const isAmongNewest = (what: string): boolean => {
    const count = (counts.get(what) ?? 0) + 1;
    counts.set(what, count);
    return count <= KEPT;
  };
  return looks.filter((look) => {
    const tells = [
      'looked',
      ...(look.isDone ? ['done'] : []),
      ...look.inOrder.map((point) => `point ${point}`),
    ];
    return tells.map(isAmongNewest).includes(true) || isNeeded(look);
  });
}

class SiteInspections implements Inspections {
  since: number | undefined;
  /** By duty and scope, newest first. */
  private readonly looks: Map<string, Look[]>;
  private readonly presence: Presence;
  private readonly scopes: ReadonlyMap<string, Scope[]>;
  private lastNote = 0;

  constructor(
    private readonly site: Site,
    private readonly keys: KeyRing,
    from: InspectionsState,
  ) {
    this.since = from.since ?? undefined;
    this.looks = new Map(from.looks);
    this.presence = new Presence(site, from.presence);
    this.scopes = scopesOfLuminaires(site);
  }

  take(entry: Entry): void {
    const [siteId, circuit] = aboutOf(entry.address).split('/');
    if (siteId !== this.site.id) return;
    this.lastNote = entry.entry;
    // The host's own clock stands in its notes; a controller's may be years off.
    if (this.since === undefined && signedNote(this.keys, entry)) this.since = entry.at;
    if (entry.kind === 'listed') {
      const note = signedNote<ListedFields>(this.keys, entry);
      if (note) this.presence.list(circuit, idsOf(note.fields), note.at);
    }
    if (aboutOf(entry.address) !== siteNotes(this.site)) return;
    for (const id of areaChanged(this.keys, entry)) this.presence.changeArea(id, entry.at);
    const check = signedInspection(this.keys, entry);
    if (check) this.look(check);
    const withdrawn = signedWithdrawal(this.keys, entry)?.withdraws;
    if (withdrawn !== undefined) this.withdraw(withdrawn);
  }

  last(duty: string, scope: Scope): Done | undefined {
    const look = this.of(duty, scope).find((one) => one.isDone);
    return look && { entry: look.entry, who: look.who, done: look.done };
  }

  presentSince(luminaire: string, scope: Scope): number {
    return this.presence.since(luminaire, scope);
  }

  findings(): Finding[] {
    const open = new Map<string, Finding>();
    for (const [key, looks] of this.looks)
      for (const look of looks)
        for (const finding of this.found(key, look)) {
          const { duty, point, luminaire, scope, done } = finding;
          const name = `${duty}\n${point}\n${luminaire === '' ? scope : `luminaire ${luminaire}`}`;
          const other = open.get(name);
          const newest = other && other.done >= done ? other : finding;
          open.set(name, { ...newest, since: Math.min(done, other?.since ?? done) });
        }
    return [...open.values()].sort((a, b) => a.since - b.since || a.entry - b.entry);
  }

  revision(): number {
    return this.lastNote;
  }

  state(): InspectionsState {
    return { since: this.since ?? null, looks: [...this.looks], presence: this.presence.state() };
  }

  private of(duty: string, scope: Scope): readonly Look[] {
    return this.looks.get(`${duty}\n${scope}`) ?? [];
  }

  private look(check: HumanCheck): void {
    const key = `${check.duty}\n${check.scope}`;
    const looks = [...(this.looks.get(key) ?? []), lookOf(check)];
    looks.sort((a, b) => b.done - a.done || b.entry - a.entry);
    this.looks.set(key, looks);
    this.looks.set(
      key,
      needed(looks, (look) => this.found(key, look).length > 0),
    );
  }

  private withdraw(entry: number): void {
    for (const [key, looks] of this.looks)
      if (looks.some((look) => look.entry === entry))
        this.looks.set(
          key,
          looks.filter((look) => look.entry !== entry),
        );
  }

  /** What a look found and nobody has seen in order since. */
  private found(key: string, look: Look): Finding[] {
    const [duty, scope] = key.split('\n');
    const { entry, who, done, title } = look;
    return look.found
      .map((one) => {
        const luminaire = one.luminaire === '' ? '' : this.presence.idOf(one.luminaire);
        return { ...one, luminaire, entry, who, done, title, duty, scope, since: done };
      })
      .filter((finding) => !this.isCleared(finding));
  }

  /** Seen in order after it was found, in an inspection of a part that had it at that time. */
  private isCleared({ duty, point, luminaire, scope, done }: Finding): boolean {
    const named = scope.startsWith('luminaire ') ? scope.slice('luminaire '.length) : '';
    const id = luminaire || this.presence.idOf(named);
    return this.covering(id, scope).some((part) =>
      this.of(duty, part).some(
        (look) => look.done > done && look.inOrder.includes(point) && this.saw(id, part, look.done),
      ),
    );
  }

  /** Every part of the site that contains or contained what was looked at; `id` is '' if no luminaire was named. */
  private covering(id: string, scope: Scope): Scope[] {
    if (id === '') return ['site', scope];
    const had = this.presence.circuitsOf(id).map((circuit) => `circuit ${circuit}`);
    const now = this.scopes.get(id) ?? ['site', scope, `luminaire ${id}`];
    return [...new Set([...now, ...had])];
  }

  private saw(id: string, part: Scope, done: number): boolean {
    if (id === '') return true;
    // Of one that is gone and on no list, nobody can say more than where it was found.
    if (!this.scopes.has(id) && this.presence.circuitsOf(id).length === 0) return true;
    return this.presence.saw(id, part, done);
  }
}

/** The inspections of a site before the first one, or after those that made a state; see `Inspections`. */
export function createInspections(site: Site, keys: KeyRing, from: InspectionsState = NONE): Inspections {
  return new SiteInspections(site, keys, from);
}
