// What a floor plan shows: which luminaires, where, and the state of each in one word with a shape of its own.
import { isHeard } from '../../api/phases';
import type { BuildingView, ControllerStatus, LampStatus } from '../../api/views';
import type { Circuit, FloorPlan, Luminaire } from '../../site/model';
import { t } from '../tongues/tongue';
import { isTesting, standing, type Tone, verdictName, verdictTone } from './tone';

/** Shape of a mark: that of its tone, or one of its own where several states have the same tone. */
export type Figure = Tone | 'retest' | 'void' | 'unknown';

export interface LampState {
  word: string;
  /** What else to know of it, '' for nothing. */
  reason: string;
  tone: Tone;
  figure: Figure;
  /** 0 is the most urgent. */
  rank: number;
}

/** Words of states, the most urgent first. */
const ORDER = ['fail', 'not known', 'retest due', 'under test', 'void', 'untested', 'pass'] as const;
type StateWord = (typeof ORDER)[number];

function state(word: StateWord, reason: string, tone: Tone, figure: Figure = tone): LampState {
  return { word: t.floor.lamp[word], reason, tone, figure, rank: ORDER.indexOf(word) };
}

/**
 * State of a luminaire on a plan. A failure stays until it is repaired, also during a test; nothing is passed on as
 * healthy that comes from a controller nobody hears.
 * @param index of the luminaire in its circuit
 */
export function lampState(
  lamp: LampStatus | undefined,
  status: ControllerStatus | undefined,
  index: number,
): LampState {
  if (!lamp || !status) return state('not known', '', 'idle', 'unknown');
  const testing = isTesting(status);
  const { verdict, reason } = standing(lamp);
  if (testing && status.live?.verdict[index] === 'fail') return state('fail', t.floor.inTest, 'fault');
  const repaired = status.retests.some(({ luminaire }) => luminaire === lamp.luminaire);
  if (verdict === 'fail' && !repaired) return state('fail', reason, 'fault');
  if (testing) return state('under test', '', 'busy');
  if (verdict === 'fail') return state('retest due', t.floor.notTestedSince, 'busy', 'retest');
  if (status.contact === 'never heard') return state('not known', t.floor.neverHeard, 'idle', 'unknown');
  if (!isHeard(status)) {
    const last = t.floor.silent(verdictName(verdict));
    return state('not known', last, 'idle', 'unknown');
  }
  if (verdict === 'void') return state('void', reason, 'idle', 'void');
  return verdict === 'pass'
    ? state('pass', reason, verdictTone(verdict))
    : state('untested', reason, verdictTone('untested'));
}

export interface Placed {
  luminaire: Luminaire;
  circuit: Circuit;
  /** In its circuit. */
  index: number;
}

export interface PlanLamps {
  placed: Placed[];
  /** Those of the floor or areas it shows that are on no plan. */
  unplaced: Placed[];
}

/** The luminaires of a plan. */
export function lampsOf(
  plan: FloorPlan,
  { areas, circuits }: Pick<BuildingView, 'areas' | 'circuits'>,
): PlanLamps {
  const shown = new Set(plan.areas ?? areas.filter(({ floor }) => floor === plan.floor).map(({ id }) => id));
  const lamps: PlanLamps = { placed: [], unplaced: [] };
  for (const circuit of circuits)
    circuit.luminaires.forEach((luminaire, index) => {
      const one = { luminaire, circuit, index };
      if (luminaire.spot?.floorPlan === plan.id) lamps.placed.push(one);
      else if (!luminaire.spot && shown.has(luminaire.area)) lamps.unplaced.push(one);
    });
  return lamps;
}

export interface Shown extends Placed {
  state: LampState;
}

/** Luminaires with their states, the most urgent first; ties by id. */
export function withStates(lamps: Placed[], controllers: ControllerStatus[]): Shown[] {
  const statuses = new Map(controllers.map((one) => [one.circuit, one]));
  return lamps
    .map((one) => {
      const status = statuses.get(one.circuit.id);
      const lamp = status?.lamps.find(({ luminaire }) => luminaire === one.luminaire.id);
      return { ...one, state: lampState(lamp, status, one.index) };
    })
    .sort((a, b) => a.state.rank - b.state.rank || a.luminaire.id.localeCompare(b.luminaire.id));
}

export interface Count {
  state: LampState;
  /** "3 fail". */
  words: string;
}

/** How many are in each state, the most urgent first. */
export function counts(shown: Shown[]): Count[] {
  return ORDER.flatMap((_, rank) => {
    const these = shown.filter(({ state }) => state.rank === rank);
    return these.length === 0
      ? []
      : [{ state: these[0].state, words: `${these.length} ${these[0].state.word}` }];
  });
}

/** "GA-04, fail, Tide tank rim north: lit for 40 min": what a mark says to those who do not see it. */
export function markName({ luminaire, state: { word, reason } }: Shown): string {
  return `${luminaire.id}, ${word}, ${luminaire.place}${reason === '' ? '' : `: ${reason}`}`;
}

/** "24 luminaires on the plan, 2 not placed." */
export function planWords({ placed, unplaced }: PlanLamps): string {
  return t.floor.words(placed.length, unplaced.length);
}
