// A status in few words, for the page of a large site: luminaires of a circuit in the same state, which most are,
// are described once.
import type { ControllerStatus, LampStatus, LampVerdict, StatusView } from './views';

/** What is said of a luminaire, without its id. */
type SaidOfLamp = Omit<LampStatus, 'luminaire'>;

export interface PackedLamps {
  /** Ids in sensor order, and for each the position of its description. */
  ids: string[];
  which: number[];
  said: SaidOfLamp[];
}

type PackedController = Omit<ControllerStatus, 'lamps'> & { lamps: PackedLamps };

/** The answer of GET /api/status/packed. */
export type PackedStatus = Omit<StatusView, 'controllers'> & { controllers: PackedController[] };

type Same<T> = (a: T, b: T) => boolean;

const isSame: Same<unknown> = (a, b) => a === b;

const isSameVerdict: Same<LampVerdict | null> = (a, b) =>
  a === b ||
  (a !== null &&
    b !== null &&
    a.verdict === b.verdict &&
    a.reason === b.reason &&
    a.at === b.at &&
    a.kind === b.kind);

function isSameCount(a: LampStatus['voids'], b: LampStatus['voids']): boolean {
  const kinds = Object.keys(a) as (keyof LampStatus['voids'])[];
  return kinds.length === Object.keys(b).length && kinds.every((kind) => a[kind] === b[kind]);
}

/** How each part is compared; one that is missing here does not compile. */
const PARTS: { [K in keyof SaidOfLamp]-?: Same<SaidOfLamp[K]> } = {
  ...{ verdict: isSame, reason: isSame, at: isSame, kind: isSame, judgedAt: isSame },
  ...{ proven: isSameVerdict, attempt: isSameVerdict, voids: isSameCount },
  ...{ failedSince: isSame, failedKind: isSame, fullSeconds: isSame, fullVerdict: isSame, fullAt: isSame },
};
const COMPARED = Object.entries(PARTS) as [keyof SaidOfLamp, Same<unknown>][];

function isAlike(a: SaidOfLamp, b: SaidOfLamp): boolean {
  return COMPARED.every(([part, same]) => same(a[part], b[part]));
}

function packLamps(lamps: readonly LampStatus[]): PackedLamps {
  const packed: PackedLamps = { ids: [], which: [], said: [] };
  for (const { luminaire, ...said } of lamps) {
    const known = packed.said.findIndex((one) => isAlike(one, said));
    packed.ids.push(luminaire);
    packed.which.push(known < 0 ? packed.said.push(said) - 1 : known);
  }
  return packed;
}

export function packStatus(status: StatusView): PackedStatus {
  const controllers = status.controllers.map((one) => ({ ...one, lamps: packLamps(one.lamps) }));
  return { ...status, controllers };
}

/** Gives back what was packed. Luminaires in the same state share what is said of them. */
export function unpackStatus(packed: PackedStatus): StatusView {
  const controllers = packed.controllers.map((one) => {
    const { ids, which, said } = one.lamps;
    return { ...one, lamps: ids.map((luminaire, i) => ({ luminaire, ...said[which[i]] })) };
  });
  return { ...packed, controllers };
}
