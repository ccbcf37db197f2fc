// What each point says of what is told, and what it leaves unsaid.
import { expect, it } from 'vitest';
import { POINTS, type ThingKind } from '../../../../host/integrators/knx/points';
import { buildingStatus, type CircuitMessages, circuitMessages } from '../../../../host/integrators/status';
import { HOUSE } from '../../house/site';
import { NIGHT, newTestedHouse } from '../house';

async function messages(): Promise<CircuitMessages> {
  const tested = await newTestedHouse();
  tested.heard('a', NIGHT);
  return circuitMessages(HOUSE, tested.house, 'a', NIGHT);
}

/** The values of a kind of thing by name. */
function values<T>(what: ThingKind, from: T): Record<string, number | null> {
  const points = POINTS[what] as { name: string; of(from: T): number | null }[];
  return Object.fromEntries(points.map(({ name, of }) => [name, of(from)]));
}

it('of a circuit: a fault for each trouble, and for a controller that says nothing', async () => {
  const { circuit } = await messages();
  expect(values('circuit', circuit)).toEqual({ fault: 0, test: 0, 'on battery': 0 });
  for (const trouble of ['fault', 'outage', 'held', 'overdue'] as const) {
    const troubles = [{ trouble, since: '2026-02-02T03:40:00+01:00' }];
    expect(values('circuit', { ...circuit, troubles }).fault, trouble).toBe(1);
  }
  const contacts = { reporting: 0, late: 0, silent: 1, 'never heard': 1 };
  for (const [contact, fault] of Object.entries(contacts))
    expect(values('circuit', { ...circuit, contact }).fault, contact).toBe(fault);
});

it('of a circuit: a test from the moment that its relay opens until the supply is back', async () => {
  const { circuit } = await messages();
  const states = {
    charged: 0,
    recharging: 0,
    opening: 1,
    brief: 1,
    full: 1,
    restoring: 1,
    outage: 0,
    unknown: 0,
  };
  for (const [state, test] of Object.entries(states))
    expect(values('circuit', { ...circuit, state }).test, state).toBe(test);
});

it('of a circuit: on battery while the relay is open or nothing is behind it, and nothing where that is not known', async () => {
  const { circuit } = await messages();
  const onBattery = (relayOpen: boolean | null, behindRelay: boolean | null) =>
    values('circuit', { ...circuit, relayOpen, supply: { beforeRelay: true, behindRelay } })['on battery'];
  expect([onBattery(false, true), onBattery(false, false), onBattery(true, true)]).toEqual([0, 1, 1]);
  expect([onBattery(true, null), onBattery(false, null), onBattery(null, null)]).toEqual([1, null, null]);
});

it('of a luminaire: only a pass is 0 in both', async () => {
  const { luminaires } = await messages();
  const of = (verdict: string) => values('luminaire', { ...luminaires[0], verdict });
  expect(of('pass')).toEqual({ fault: 0, 'not proven': 0 });
  expect(of('fail')).toEqual({ fault: 1, 'not proven': 0 });
  expect(of('not proven')).toEqual({ fault: 0, 'not proven': 1 });
});

it('of a building: the counts, and a fault where any circuit or luminaire has one', async () => {
  const a = await messages();
  const good = buildingStatus(HOUSE, false, [a]);
  expect(values('building', good)).toEqual({ fault: 0, failed: 0, 'not proven': 2, silent: 0, test: 0 });
  const { circuits, troubles, luminaires } = good;
  const bad = [
    { luminaires: { ...luminaires, fail: 70_000 } },
    { circuits: { ...circuits, silent: 1 } },
    { circuits: { ...circuits, neverHeard: 1 } },
    ...Object.keys(troubles).map((trouble) => ({ troubles: { ...troubles, [trouble]: 1 } })),
  ];
  for (const more of bad)
    expect(values('building', { ...good, ...more }).fault, JSON.stringify(more)).toBe(1);
  expect(values('building', { ...good, ...bad[0] }).failed).toBe(65_535);
  expect(values('building', { ...good, circuits: { ...circuits, silent: 2, neverHeard: 3 } }).silent).toBe(5);
  expect(values('building', { ...good, testing: 2 }).test).toBe(1);
});
