// What the wiring does not allow, whatever the night.
import type { Circuit, Site } from '../../site/model';
import { type Exposure, sharesOf } from '../cost/exposure';
import type { CircuitWork, Placing } from '../placing/circuitWork';
import { groupsOf } from '../placing/colours';
import { CYCLE_MAX } from '../placing/shares';
import type { Conflict, PlannedTest, Shortfall } from '../plan/plan';
import { areaNamed, circuitName, circuitsNamed, listed, spelled } from './conflictWords';

/** What is looked at for conflicts. */
export interface Judged {
  site: Site;
  placing: Placing;
  works: CircuitWork[];
  near: Map<string, Set<string>>;
  exposure: Exposure;
  tests: PlannedTest[];
  from: number;
  until: number;
  noon: number;
  /** What would still be late on another site with the same history. */
  lateOn(site: Site): Shortfall[];
  /** Nights from a circuit's own one to the first that may be a neighbour's. */
  spacing: number;
}

const SOURCE = 'after IEC 62034:2012, 6.3.2.2, alternate luminaires; only the title is known to us';
const HALF_RULE = `at most half of the luminaires of an area not ready during a test and its recharge (${SOURCE})`;
const TURNS_RULE = `neighbours take turns, a test and its recharge apart (${SOURCE})`;

/** Hours in which people are in any of the areas while the circuit's tests and their recharge run. */
function peopledHours(circuit: string, areas: string[], { tests, exposure }: Judged): number {
  const own = tests.filter((test) => test.circuit === circuit);
  const hours = areas.map((area) => {
    const presence = exposure.presenceIn(area);
    return own.reduce((sum, test) => sum + presence.within(test.start, test.recharged), 0) / 3600;
  });
  return Math.max(0, ...hours);
}

function peopleWords(hours: number): string {
  if (hours === 0) return 'In this plan no one is there during that time.';
  return `In this plan people are there for ${hours.toFixed(1)} h of that.`;
}

/** "all 6 luminaires of School rooms", "7 of 10 luminaires of Reading room". */
function partOf(area: string, circuit: Circuit, site: Site, shares: ReturnType<typeof sharesOf>): string {
  const own = circuit.luminaires.filter((lamp) => lamp.serves.includes(area)).length;
  const all = Math.round(own / shares.get(area)!.get(circuit.id)!);
  if (all === 1) return `the only luminaire of ${areaNamed(site, area)}`;
  return `${own === all ? `all ${all}` : `${own} of ${all}`} luminaires of ${areaNamed(site, area)}`;
}

/** Circuits on which more than half of the luminaires of an area hang. */
export function crowdedAreas(j: Judged): Conflict[] {
  const crowded = new Map<string, string[]>();
  const shareOf = sharesOf(j.site);
  for (const [area, shares] of shareOf)
    for (const [circuit, share] of shares)
      if (share > 0.5) crowded.set(circuit, [...(crowded.get(circuit) ?? []), area]);
  const sleeping = new Set(j.site.areas.filter((area) => area.sleeping).map((area) => area.id));
  return j.site.circuits
    .filter((circuit) => crowded.has(circuit.id))
    .map((circuit) => {
      const areas = crowded.get(circuit.id)!;
      const names = listed(areas.map((area) => areaNamed(j.site, area)));
      const recharge = spelled(j.placing.profile.full.rechargeSec.value);
      const sleepers = areas.filter((area) => sleeping.has(area)).map((area) => areaNamed(j.site, area));
      const asleep = sleepers.length > 0 ? ` People sleep in ${listed(sleepers)}.` : '';
      return {
        ...{ circuits: [circuit.id], areas, rule: HALF_RULE, from: j.from, until: j.until },
        sentence:
          `Circuit ${circuitName(circuit)} feeds ${listed(areas.map((area) => partOf(area, circuit, j.site, shareOf)))}. ` +
          `They are not ready during a test, and for ${recharge} after a duration test. ` +
          `${peopleWords(peopledHours(circuit.id, areas, j))}${asleep}`,
        remedy:
          `Wire every second luminaire of ${names} to another circuit with its own controller (alternate wiring)` +
          `${sleepers.length > 0 ? '; until then have someone patrol with a torch on those nights' : ''}.`,
      };
    });
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

function ringConflict(ring: Circuit[], group: CircuitWork[], j: Judged): Conflict {
  const { cycle } = group[0].share;
  const turns = new Set(group.map((work) => work.share.residue)).size;
  const names = circuitsNamed(ring).replace(/^c/, 'C');
  const how =
    ring.length === 3
      ? 'are all neighbours of each other'
      : `form a ring of ${ring.length}, each the neighbour of the next`;
  const widest = ring.reduce((best, one) => (one.areas.length > best.areas.length ? one : best));
  return {
    ...{ circuits: ring.map(({ id }) => id), areas: [...new Set(ring.flatMap(({ areas }) => areas))].sort() },
    ...{ rule: TURNS_RULE, from: j.from, until: j.until },
    sentence:
      `${names} ${how}, so two groups taking turns are not enough: ${turns} are needed, and each circuit gets only one ` +
      `night in ${cycle}.`,
    remedy:
      `Nothing while its tests are in time. To get by with two groups, move part of circuit ${circuitName(widest)} to ` +
      'another controller, which breaks the ring.',
  };
}

/** Circuits with so many neighbours that a controller cannot count the nights between two turns. */
function tooManyTurns(group: CircuitWork[], j: Judged): Conflict {
  const { cycle } = group[0].share;
  const circuits = group.map((work) => work.circuit);
  return {
    ...{
      circuits: circuits.map(({ id }) => id),
      areas: [...new Set(circuits.flatMap(({ areas }) => areas))].sort(),
    },
    ...{ rule: TURNS_RULE, from: j.from, until: j.until },
    sentence:
      `${circuitsNamed(circuits).replace(/^c/, 'C')} have so many neighbours that each would get one night in ${cycle}; ` +
      `a controller counts to at most ${CYCLE_MAX} and will refuse these settings.`,
    remedy: `Have at most ${Math.floor(CYCLE_MAX / j.spacing)} circuits light one area and those next to it.`,
  };
}

/** Groups of circuits that cannot alternate in two. */
export function oddGroups(j: Judged): Conflict[] {
  const byId = new Map(j.works.map((work) => [work.circuit.id, work]));
  return groupsOf(j.near).flatMap((group) => {
    const works = group.map((id) => byId.get(id)!);
    if (works[0].share.cycle > CYCLE_MAX) return [tooManyTurns(works, j)];
    const ring = oddRing(group, j.near);
    return ring
      ? [
          ringConflict(
            ring.map((id) => byId.get(id)!.circuit),
            works,
            j,
          ),
        ]
      : [];
  });
}
