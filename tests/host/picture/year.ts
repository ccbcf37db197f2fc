// A year of two circuits in which one luminaire fails, for the picture's tests.
import type { CircuitYear, Discharge, EstateYear, TestMark } from '../../../host/picture/data';

/** Midnight at the start of 5 January 2026, and at the end of the year that follows, in days since 1970. */
export const FROM = 20458;
export const TO = FROM + 365;

export function test(day: number, more: Partial<TestMark> = {}): TestMark {
  return { day: FROM + day, kind: 'brief', outcome: 'passed', failed: [], ...more };
}

export function circuit(name: string, tests: TestMark[] = []): CircuitYear {
  return { name, tests, bars: [] };
}

export function discharge(day: number, more: Partial<Discharge> = {}): Discharge {
  const lamp = (name: string, milliamps: number) => ({
    ...{ name, hasFailed: false },
    points: [
      [0, milliamps],
      [180, milliamps * 0.9],
    ] as [number, number][],
  });
  return {
    ...{
      circuit: 'hall',
      day: FROM + day,
      kind: 'full',
      ratedMinutes: 180,
      lamps: [lamp('H-1', 200), lamp('H-2', 90)],
    },
    ...more,
  };
}

export const YEAR: EstateYear = {
  ...{ name: 'Salt & Rope House', from: FROM, to: TO },
  circuits: [
    {
      ...circuit('hall', [test(10.05), test(40.05, { kind: 'full', outcome: 'failed', failed: ['H-2'] })]),
      bars: [
        { from: FROM + 40.2, to: FROM + 41.2, kind: 'recharge' },
        { from: FROM + 60, to: FROM + 63.5, kind: 'off' },
      ],
    },
    circuit('loft', [
      test(12.05),
      test(70.05, { outcome: 'void' }),
      test(99, { outcome: 'failed', failed: ['<L>"1"'] }),
    ]),
  ],
  discharges: [discharge(40)],
};
