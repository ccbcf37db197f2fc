// What the wiring does not allow, whatever the night.
import { Limit } from '../../../firmware/contract/limits';
import type { Circuit, Site } from '../../site/model';
import { capital } from '../../words/capital';
import { lengthWord } from '../../words/length';
import { type Exposure, type Presence, sharesOf } from '../cost/exposure';
import type { CircuitWork, Placing } from '../placing/circuitWork';
import { groupsOf } from '../placing/colours';
import { mostNeighbours, type SharedRoom } from '../placing/sharedNights';
import type { Conflict, PlannedTest, Shortfall } from '../plan/plan';
import { areaNamed, circuitName, circuitsNamed, counted, listed } from './conflictWords';

/** What is looked at for conflicts. */
export interface Judged {
  site: Site;
  placing: Placing;
  works: CircuitWork[];
  near: Map<string, Set<string>>;
  exposure: Exposure;
  /** Circuit by circuit. */
  tests: PlannedTest[];
  from: number;
  until: number;
  noon: number;
  /** What would still be late on another site with the same history. */
  lateOn(site: Site): Shortfall[];
  /** Nights from a circuit's own one to the first that may be a neighbour's. */
  spacing: number;
  /** What nights offer to neighbours that share them. */
  room?: SharedRoom;
}

const SOURCE = 'after IEC 62034:2012, 6.3.2.2, alternate luminaires; only the title is known to us';
const HALF_RULE = `at most half of the luminaires of an area not ready during a test and its recharge (${SOURCE})`;
const TURNS_RULE = `neighbours take turns, a test and its recharge apart (${SOURCE})`;

/** By circuit, the hours in which people are in any of its areas while its tests and their recharge run. */
function peopledHours(areasOf: Map<string, string[]>, { tests, exposure }: Judged): Map<string, number> {
  const seconds = new Map([...areasOf].map(([circuit, areas]) => [circuit, areas.map(() => 0)]));
  let of: string | undefined;
  let sums: number[] | undefined;
  let presences: Presence[] = [];
  for (const { circuit, start, recharged } of tests) {
    if (circuit !== of) {
      [of, sums] = [circuit, seconds.get(circuit)];
      presences = sums ? areasOf.get(circuit)!.map((area) => exposure.presenceIn(area)) : [];
    }
    if (sums) for (let i = 0; i < sums.length; i++) sums[i] += presences[i].within(start, recharged);
  }
  return new Map([...seconds].map(([circuit, sums]) => [circuit, Math.max(0, ...sums) / 3600]));
}

/** A circuit on which more than half of the luminaires of some areas hang. */
interface Crowd {
  circuit: Circuit;
  areas: string[];
  /** Those of them in which people sleep. */
  sleepers: string[];
  /** Hours with people while they are not ready. */
  hours: number;
}

function peopleWords(crowds: Crowd[]): string {
  const [{ circuit, hours }] = crowds;
  if (hours === 0) return 'In this plan no one is there during that time.';
  const most =
    crowds.length > 1
      ? `up to ${hours.toFixed(1)} h of that (${circuit.id})`
      : `${hours.toFixed(1)} h of that`;
  return `In this plan people are there for ${most}.`;
}

/** "all 6 luminaires of School rooms", "7 of 10 luminaires of Reading room". */
function partOf(area: string, circuit: Circuit, site: Site, shares: ReturnType<typeof sharesOf>): string {
  const own = circuit.luminaires.filter((lamp) => lamp.serves.includes(area)).length;
  const all = Math.round(own / shares.get(area)!.get(circuit.id)!);
  if (all === 1) return `the only luminaire of ${areaNamed(site, area)}`;
  return `${own === all ? `all ${all}` : `${own} of ${all}`} luminaires of ${areaNamed(site, area)}`;
}

function crowdsOf(j: Judged, shareOf: ReturnType<typeof sharesOf>): Crowd[] {
  const crowded = new Map<string, string[]>();
  for (const [area, shares] of shareOf)
    for (const [circuit, share] of shares)
      if (share > 0.5) crowded.set(circuit, [...(crowded.get(circuit) ?? []), area]);
  const sleeping = new Set(j.site.areas.filter((area) => area.sleeping).map((area) => area.id));
  const peopled = peopledHours(crowded, j);
  return j.site.circuits
    .filter((circuit) => crowded.has(circuit.id))
    .map((circuit) => {
      const areas = crowded.get(circuit.id)!;
      const sleepers = areas.filter((area) => sleeping.has(area));
      return { circuit, areas, sleepers, hours: peopled.get(circuit.id) ?? 0 };
    });
}

/** Whether the areas of a circuit are only its own name, as `import` makes them where a table has none. */
function isOnlyCircuit({ circuit, areas }: Crowd, site: Site, shareOf: ReturnType<typeof sharesOf>): boolean {
  return areas.every((id) => {
    const name = areaNamed(site, id);
    return (name === circuit.name || name.startsWith(`${circuit.name}, `)) && shareOf.get(id)!.size === 1;
  });
}

/** Circuits of which the same is to be said, those with most people first. */
function crowdConflict(crowds: Crowd[], j: Judged, shareOf: ReturnType<typeof sharesOf>): Conflict {
  crowds.sort((a, b) => b.hours - a.hours);
  const areas = [...new Set(crowds.flatMap((crowd) => crowd.areas))];
  const parts = ({ circuit, areas: own }: Crowd) =>
    listed(own.map((area) => partOf(area, circuit, j.site, shareOf)));
  const [{ circuit }] = crowds;
  const sleepers = [...new Set(crowds.flatMap((crowd) => crowd.sleepers))];
  const feeds =
    crowds.length === 1
      ? `Circuit ${circuitName(circuit)} feeds ${parts(crowds[0])}.`
      : `${counted(crowds.length, 'circuit')} feed more than half of the luminaires of an area: ` +
        `${listed(crowds.map((crowd) => `${crowd.circuit.id} (${parts(crowd)})`))}.`;
  const recharge = lengthWord(j.placing.profile.full.rechargeSec.value);
  const named = (ids: string[]) => listed(ids.map((area) => areaNamed(j.site, area)));
  return {
    about: 'wiring',
    ...{
      circuits: crowds.map((one) => one.circuit.id),
      areas,
      rule: HALF_RULE,
      from: j.from,
      until: j.until,
    },
    sentence:
      `${feeds} They are not ready during a test, and for ${recharge} after a duration test. ${peopleWords(crowds)}` +
      `${sleepers.length > 0 ? ` People sleep in ${named(sleepers)}.` : ''}`,
    remedy: crowds.every((crowd) => isOnlyCircuit(crowd, j.site, shareOf))
      ? 'First say in the site file in which room each luminaire is (areas; in a table for import the column area): these areas are ' +
        'only the circuits by name. Then see whether one circuit still feeds most of a room.'
      : `Wire every second luminaire of ${crowds.length === 1 ? named(areas) : 'such an area'} to another circuit with its own ` +
        `controller (alternate wiring)${sleepers.length > 0 ? '; until then have someone patrol with a torch on those nights' : ''}.`,
  };
}

/** Circuits on which more than half of the luminaires of an area hang: where people sleep, are there, or are not. */
export function crowdedAreas(j: Judged): Conflict[] {
  const shareOf = sharesOf(j.site);
  const crowds = crowdsOf(j, shareOf);
  const sorts = [
    crowds.filter(({ sleepers }) => sleepers.length > 0),
    crowds.filter(({ sleepers, hours }) => sleepers.length === 0 && hours > 0),
    crowds.filter(({ sleepers, hours }) => sleepers.length === 0 && hours === 0),
  ];
  return sorts.filter((sort) => sort.length > 0).map((sort) => crowdConflict(sort, j, shareOf));
}

/** A shortest odd ring of neighbours in a group; undefined when the group can take turns in two. */
export function oddRing(group: string[], near: Map<string, Set<string>>): string[] | undefined {
  for (const a of group)
    for (const b of near.get(a)!) for (const c of near.get(b)!) if (near.get(a)!.has(c)) return [a, b, c];
  let shortest: string[] | undefined;
  for (const start of group) {
    const ring = oddRingFrom(start, near);
    if (ring && (!shortest || ring.length < shortest.length)) shortest = ring;
    if (shortest?.length === 5) break;
  }
  return shortest;
}

/** The first odd ring found in layers around a circuit: two neighbours in one layer close it. */
function oddRingFrom(start: string, near: Map<string, Set<string>>): string[] | undefined {
  const before = new Map<string, string | undefined>([[start, undefined]]);
  const layer = new Map([[start, 0]]);
  const pathTo = (id: string) => {
    const path: string[] = [];
    for (let at: string | undefined = id; at !== undefined; at = before.get(at)) path.unshift(at);
    return path;
  };
  for (const id of layer.keys()) {
    for (const other of near.get(id)!) {
      if (!layer.has(other)) {
        layer.set(other, layer.get(id)! + 1);
        before.set(other, id);
      } else if (layer.get(other) === layer.get(id)) {
        const [one, two] = [pathTo(id), pathTo(other)];
        let shared = 0;
        while (one[shared + 1] !== undefined && one[shared + 1] === two[shared + 1]) shared++;
        return [...one.slice(shared), ...two.slice(shared + 1).reverse()];
      }
    }
  }
  return undefined;
}

/** A ring of neighbours that cannot alternate in two, in a group of circuits. */
interface Ring {
  circuits: Circuit[];
  /** How many turns the group needs, and how many nights they take. */
  turns: number;
  cycle: number;
  /** Function tests share further nights, so only longer tests wait for their turn. */
  isShared: boolean;
}

function ringWords({ circuits }: Ring): string {
  const how =
    circuits.length === 3
      ? 'are all neighbours of each other'
      : `form a ring of ${circuits.length}, each the neighbour of the next`;
  return `${circuitsNamed(circuits)} ${how}`;
}

/** All rings in one: the one that needs most turns is the example. */
function ringConflict(rings: Ring[], j: Judged): Conflict {
  const [worst] = [...rings].sort((a, b) => b.turns - a.turns);
  const circuits = rings.flatMap((ring) => ring.circuits);
  const widest = worst.circuits.reduce((best, one) => (one.areas.length > best.areas.length ? one : best));
  const isOne = rings.length === 1;
  const often = worst.isShared
    ? `one night in ${worst.cycle} for its duration test; function tests share nights`
    : `only one night in ${worst.cycle}`;
  return {
    about: 'note',
    circuits: circuits.map(({ id }) => id),
    areas: [...new Set(circuits.flatMap(({ areas }) => areas))].sort(),
    ...{ rule: TURNS_RULE, from: j.from, until: j.until },
    sentence: isOne
      ? `${capital(ringWords(worst))}, so two groups taking turns are not enough: ${worst.turns} are needed, and each ` +
        `circuit gets ${often}.`
      : `In ${rings.length} groups of neighbours two taking turns are not enough; e.g. ${ringWords(worst)}. Up to ` +
        `${worst.turns} turns are needed, and each circuit there gets ${often}.`,
    remedy:
      `Nothing while ${isOne ? 'its' : 'their'} tests are in time. To get by with two groups, move part of circuit ` +
      `${circuitName(widest)} to another controller, which breaks the ring${isOne ? '' : '; likewise in the others'}.`,
  };
}

/** How many circuits may light one area and those next to it, so that function tests can be in time. */
export function mostInTime({ placing, spacing, room }: Pick<Judged, 'placing' | 'spacing' | 'room'>): number {
  return mostNeighbours(spacing, placing.profile.brief.latestDays.value, room);
}

/** Circuits with so many neighbours that a controller cannot count the nights between two turns. */
function tooManyTurns(groups: CircuitWork[][], j: Judged): Conflict {
  const cycle = Math.max(...groups.map(([work]) => work.share.cycle));
  const circuits = groups.flat().map((work) => work.circuit);
  return {
    about: 'wiring',
    circuits: circuits.map(({ id }) => id),
    areas: [...new Set(circuits.flatMap(({ areas }) => areas))].sort(),
    ...{ rule: TURNS_RULE, from: j.from, until: j.until },
    sentence:
      `${capital(circuitsNamed(circuits))} have so many neighbours that each would get one night in ${cycle}; ` +
      `a controller counts to at most ${Limit.CycleNights} and will refuse these settings.`,
    remedy: `Have at most ${mostInTime(j)} circuits light one area and those next to it.`,
  };
}

/**
 * Groups of circuits that cannot alternate in two.
 * @param told circuits of which it is said already that they must take turns
 */
export function oddGroups(j: Judged, told: Set<string>): Conflict[] {
  const byId = new Map(j.works.map((work) => [work.circuit.id, work]));
  const rings: Ring[] = [];
  const crowded: CircuitWork[][] = [];
  for (const group of groupsOf(j.near)) {
    const works = group.map((id) => byId.get(id)!);
    const { cycle } = works[0].share;
    if (cycle > Limit.CycleNights) {
      crowded.push(works);
      continue;
    }
    const ring = group.some((id) => told.has(id)) ? undefined : oddRing(group, j.near);
    if (!ring) continue;
    const turns = new Set(works.map((work) => work.share.residue)).size;
    const isShared = works[0].share.shared !== undefined;
    rings.push({ circuits: ring.map((id) => byId.get(id)!.circuit), turns, cycle, isShared });
  }
  return [
    ...(crowded.length > 0 ? [tooManyTurns(crowded, j)] : []),
    ...(rings.length > 0 ? [ringConflict(rings, j)] : []),
  ];
}
