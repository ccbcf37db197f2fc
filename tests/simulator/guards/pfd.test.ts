// Failure probabilities of the guards, against published figures, a numerical average and a sum by hand.
import { describe, expect, it } from 'vitest';
import { guardBoard } from '../../../simulator/guards/board';
import { singleFaults } from '../../../simulator/guards/faultList';
import { fitOf, guardPfd, pfdAverage, pfdOfTwo, USUAL_PROOFS } from '../../../simulator/guards/pfd';
import { readFaults } from './results';

const { rows: faults } = readFaults();
const YEAR = 8760;

describe('the average probability of failure on demand', () => {
  // IEC 61508-6:2010, tables B.2 and B.3, architecture 1oo1, diagnostic coverage 0 %; half of the rates is dangerous
  // there. Values from memory, to the two digits that the tables print.
  it.each([
    [50, YEAR / 2, 1.1e-4],
    [250, YEAR / 2, 5.5e-4],
    [2500, YEAR / 2, 5.5e-3],
    [50, YEAR, 2.2e-4],
    [500, YEAR, 2.2e-3],
  ])(
    'of one guard with %i failures in 10^9 h and a proof every %i h is as published',
    (fit, hours, published) => {
      expect(pfdAverage(fit, hours)).toBeGreaterThan(published * 0.97);
      expect(pfdAverage(fit, hours)).toBeLessThan(published * 1.03);
    },
  );

  it('of two guards is as published', () => {
    // The same, table B.3, architecture 1oo2, common cause 10 %.
    const one = pfdAverage(50, YEAR);
    expect(pfdOfTwo(one, one) / 2.2e-5).toBeCloseTo(1, 1);
    const often = pfdAverage(2500, YEAR);
    expect(pfdOfTwo(often, often) / 1.2e-3).toBeCloseTo(1, 1);
  });

  it('is what averaging the probability over the interval gives', () => {
    const [lambda, hours, steps] = [800e-9, YEAR, 10_000];
    let sum = 0;
    for (let i = 0; i < steps; i++) sum += 1 - Math.exp((-lambda * hours * (i + 0.5)) / steps);
    expect(pfdAverage(800, hours) / (sum / steps)).toBeCloseTo(1, 2);
  });
});

describe('the guards', () => {
  it('have failure rates whose modes add up to the whole part', () => {
    const byPart = new Map<string, number>();
    for (const fault of singleFaults(guardBoard))
      byPart.set(fault.part, (byPart.get(fault.part) ?? 0) + fitOf(guardBoard, fault));
    const kinds: [string, number][] = [
      ...[
        ['R1', 31],
        ['C1', 58],
        ['D1', 60],
        ['H1', 10],
        ['Q1', 792],
        ['K1', 2520],
        ['F1', 20],
      ],
      ...[
        ['U3', 560],
        ['S1', 60],
        ['U1', 150],
        ['U2', 150],
        ['enable', 150],
      ],
    ] as [string, number][];
    for (const [part, fit] of kinds) expect(byPart.get(part), part).toBeCloseTo(fit, 6);
  });

  it('fail as often as a sum by hand says', () => {
    // `enable`: Q2 shorted 0.51, conducting 0.22, gate broken 0.05; the pin stuck high 0.28. Found after three tests.
    const fit = 792 * (0.51 + 0.22 + 0.05) + 150 * 0.28;
    const enable = guardPfd(guardBoard, faults, 'enable', USUAL_PROOFS);
    expect(enable.fit).toBeCloseTo(fit, 6);
    expect(enable.pfd).toBeCloseTo((fit * 1e-9 * 2190) / 2, 9);
  });

  it('are each likelier to work than 99 in 100, and two together than 9,999 in 10,000', () => {
    const of = (guard: 'detector' | 'enable' | 'timer') =>
      guardPfd(guardBoard, faults, guard, USUAL_PROOFS).pfd;
    for (const guard of ['detector', 'enable', 'timer'] as const) expect(of(guard)).toBeLessThan(1e-2);
    expect(pfdOfTwo(of('detector'), of('timer'))).toBeLessThan(1e-4);
    // Pressing the button every month instead of once a year.
    const often = guardPfd(guardBoard, faults, 'timer', { ...USUAL_PROOFS, buttonHours: 730 });
    expect(of('timer') / often.pfd).toBeCloseTo(12, 6);
  });
});
