import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../../firmware/contract/codes';
import { type DiagnosisInput, type DiagnosisResult, diagnose } from '../../../../host/house/view/diagnosis';

const DAY = 86400;

function test(day: number, kind: TestKind, more: Partial<DiagnosisResult> = {}): DiagnosisResult {
  const lit = { milliampsAt5: 300, milliampsAt60: 300, milliampsEnd: 290, onMainsMilliamps: 2 };
  const seconds = kind === TestKind.Full ? 3600 : 90;
  return { at: day * DAY, kind, verdict: Verdict.Pass, reason: 0, litSec: seconds, ...lit, ...more };
}

const dark = (day: number, kind = TestKind.Brief): DiagnosisResult =>
  test(day, kind, {
    ...{ verdict: Verdict.Fail, reason: Reason.NotLitAtFiveSeconds },
    ...{ litSec: 0, milliampsAt5: 0, milliampsAt60: 0, milliampsEnd: 0 },
  });

const short = (day: number, litSec: number): DiagnosisResult =>
  test(day, TestKind.Full, { verdict: Verdict.Fail, reason: Reason.EndedEarly, litSec });

/** Results are listed oldest first here; the lamp is dark on mains. */
function said(...results: DiagnosisResult[]): string {
  return saidOf(true, results);
}

function saidOf(
  darkOnMains: boolean,
  results: DiagnosisResult[],
  more: Partial<DiagnosisInput> = {},
): string {
  return diagnose({
    results: [...results].reverse(),
    ratedSec: 3600,
    batteryMilliamps: 300,
    darkOnMains,
    crossTalk: '',
    noCharge: [],
    ...more,
    dateOf: (utcSec) => `day ${utcSec / DAY}`,
  });
}

describe('the most likely cause', () => {
  it('is none for a luminaire that passes, or was never tested', () => {
    expect(said()).toBe('');
    expect(said(test(1, TestKind.Brief), test(28, TestKind.Full))).toBe('');
  });

  it('is lamp or battery if it is dark and was fine in the function test before', () => {
    expect(said(test(1, TestKind.Full), test(14, TestKind.Brief), test(28, TestKind.Brief), dark(56))).toBe(
      'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on ' +
        'day 56 (0 of 300 mA), and it was last lit on day 28.',
    );
    expect(said(dark(1), dark(28))).toContain('it has not been lit in any test on record');
  });

  it('is told also of a record that calls a lamp dark and gives its full current', () => {
    const odd = (reason: Reason) => ({ ...dark(56), reason, milliampsAt5: 300, litSec: 3600 });
    for (const reason of [Reason.NotLitAtFiveSeconds, Reason.AllDark]) {
      expect(said(test(1, TestKind.Full), odd(reason))).toContain('since day 56 it has stayed dark');
      expect(said({ ...odd(reason), kind: TestKind.Full })).toContain(
        'not lit at 5 s on day 56 (300 of 300 mA), and it has not been lit in any test on record',
      );
    }
  });

  it('is told also of two records with the same time', () => {
    expect(said(test(56, TestKind.Full), dark(56))).toContain('since day 56 it has stayed dark');
    expect(said(test(1, TestKind.Full), dark(56, TestKind.Full), test(56, TestKind.Brief))).toContain(
      'since day 56 it',
    );
  });

  it('is the charger if it has been dark ever since a test that emptied the battery', () => {
    expect(said(test(1, TestKind.Brief), test(28, TestKind.Full), dark(56), dark(84))).toBe(
      'Most likely the charger, or a battery that no longer takes charge: on day 28 the lamp was lit for ' +
        '60 min, which emptied the battery, and since day 56 it has stayed dark although it had time to ' +
        'recharge. A lamp that failed at that time would look the same.',
    );
    const restOfCharge = said(test(28, TestKind.Full), test(56, TestKind.Brief), dark(84));
    expect(restOfCharge).toMatch(/^Most likely the charger, .* and since day 84 it has stayed dark/);
  });

  it('is the charger if a duration test ends at once although an earlier one lasted', () => {
    expect(said(test(1, TestKind.Full), short(366, 200))).toMatch(
      /^Most likely the charger: on day 1 .* 60 min/,
    );
  });

  it('is the charger, with the missing charging current, where that is measured', () => {
    const noCharge = [{ at: 200 * DAY, milliamps: 4 }];
    const after = ' The circuit drew 4 mA of charging current after the test of day 200.';
    expect(saidOf(true, [test(1, TestKind.Full), short(366, 200)], { noCharge })).toContain(after);
    expect(saidOf(true, [test(1, TestKind.Full), dark(366)], { noCharge })).toContain(after);
    const before = [{ at: 0, milliamps: 4 }];
    expect(saidOf(true, [test(1, TestKind.Full), short(366, 200)], { noCharge: before })).not.toContain(
      'drew',
    );
  });

  it('is a shorted cell if the battery takes charge and is empty at once', () => {
    const briefs = [28, 56, 84].map((day) => test(day, TestKind.Brief));
    expect(said(test(1, TestKind.Full), ...briefs, short(366, 200))).toBe(
      'Most likely a battery with a shorted cell: it takes charge, as it lit in 3 function tests since day 1, but it ' +
        'lasted only 3 min of 60 min on day 366 (300 of 300 mA at 60 s).',
    );
  });

  it('is cross-talk first of all if the channels of the newest result say so', () => {
    expect(saidOf(true, [dark(1)], { crossTalk: 'Two channels move together.' })).toBe(
      'Two channels move together.',
    );
  });

  it('is the sensor if its reading never changed or was out of range', () => {
    const still = {
      verdict: Verdict.Void,
      reason: Reason.SensorStuck,
      onMainsMilliamps: 310,
      milliampsAt60: 310,
    };
    expect(saidOf(false, [test(1, TestKind.Brief, still)])).toBe(
      'Most likely the current sensor: on day 1 it stuck at 310 mA from mains to battery and read 310 mA ' +
        'at 60 s. There is no proof that the lamp was lit.',
    );
    const range = { verdict: Verdict.Void, reason: Reason.SensorRange };
    expect(said(test(1, TestKind.Brief, range))).toBe(
      'Most likely the current sensor, its wiring or the multiplexer: it read out of range on day 1.',
    );
  });

  it('is an aged battery if it falls short, with what it lasted before', () => {
    expect(said(test(1, TestKind.Full), short(366, 2400), test(394, TestKind.Brief))).toBe(
      'Most likely an aged battery: it lasted 40 min of 60 min on day 366. On day 1 it had lasted 60 min. ' +
        'Against that: it has passed a function test since, on day 394; only a duration test can show that it ' +
        'lasts again.',
    );
  });

  it('is told with what speaks against it: the lamp was lit again after the test it is blamed for', () => {
    const passes = [test(387, TestKind.Brief), test(415, TestKind.Brief)];
    expect(said(test(1, TestKind.Full), dark(366, TestKind.Full), ...passes)).toBe(
      'Most likely a loose contact, or a battery that was not charged: not lit at 5 s in the duration test of ' +
        'day 366 (0 of 300 mA). Against that: it has passed 2 function tests since, the last on day 415, so its ' +
        'lamp works.',
    );
    expect(said(short(366, 200), ...passes)).toMatch(
      /Against that: it has passed 2 function tests since, the last on day 415; only a duration test can/,
    );
    const slow = { verdict: Verdict.Fail, reason: Reason.SlowStart };
    expect(said(test(366, TestKind.Full, slow), ...passes)).toContain('Against that: it has passed 2');
    // One that was void proves nothing.
    const doubtful = test(387, TestKind.Brief, { verdict: Verdict.Void, reason: Reason.Outage });
    expect(said(dark(366, TestKind.Full), doubtful)).not.toContain('Against that');
  });

  it('is a loose contact or the driver if it flickers, and the battery if it does so only later', () => {
    const currents = { milliampsAt5: 300, milliampsAt60: 20, milliampsEnd: 290 };
    const flickers = { verdict: Verdict.Fail, reason: Reason.Flickers, ...currents };
    const read = 'with 300 mA at 5 s, 20 mA at 60 s and 290 mA at the end, of 300 mA. ';
    const look =
      "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, ";
    const early =
      'Most likely a loose contact or the driver: the lamp flickered in the duration test of day 28, ' +
      `${read}${look}replace the driver.`;
    const inFull = (litSec: number) => test(28, TestKind.Full, { ...flickers, litSec });
    expect(said(test(1, TestKind.Brief), inFull(61))).toBe(early);
    expect(said(inFull(61), test(56, TestKind.Brief))).toBe(
      `${early} Against that: it has passed a function test since, on day 56, but a loose contact comes and goes.`,
    );
    expect(said(inFull(2400))).toBe(
      'Most likely an aged battery that its driver cuts off and on again: the lamp flickered from 40 min of 60 min ' +
        `on in the duration test of day 28, ${read}${look}replace the battery.`,
    );
    // A function test takes little from a battery.
    expect(said(test(28, TestKind.Brief, { ...flickers, litSec: 80 }))).toContain('replace the driver.');
  });

  it('has words for every reason for which a lamp fails', () => {
    for (let reason = Reason.NotLitAtFiveSeconds; reason < Reason.StayedOnMains; reason++) {
      const failed = test(28, TestKind.Full, { verdict: Verdict.Fail, reason, milliampsAt5: 20 });
      expect(said(failed), `reason ${reason}`).toContain('Most likely');
    }
  });

  it('is cleared once a duration test has passed', () => {
    expect(said(short(1, 2400), test(28, TestKind.Full))).toBe('');
    expect(said(dark(1), test(28, TestKind.Brief))).toBe('');
  });

  it('is the sensor if it shows current while the lamp is dark', () => {
    const drifted = { verdict: Verdict.Void, reason: Reason.SensorOffset, onMainsMilliamps: 80 };
    expect(said(test(1, TestKind.Brief), test(28, TestKind.Brief, drifted))).toBe(
      'The current sensor has most likely drifted: it read 80 mA that no lamp draws on day 28, and 2 mA on ' +
        'day 1. Check sensor and wiring before the luminaire.',
    );
  });

  it('is also the sensor if it has drifted so far that a dark lamp reads as lit', () => {
    const far = {
      verdict: Verdict.Void,
      reason: Reason.SensorOffset,
      onMainsMilliamps: 0,
      milliampsAt5: 520,
    };
    expect(said(test(1, TestKind.Brief), test(28, TestKind.Brief, far))).toContain(
      '220 mA that no lamp draws',
    );
  });

  it('is not the sensor if a lamp that is lit on mains shows its current there', () => {
    expect(saidOf(false, [test(1, TestKind.Brief, { onMainsMilliamps: 310 })])).toBe('');
    expect(said(test(1, TestKind.Brief, { onMainsMilliamps: 310 }))).toContain('310 mA that no lamp draws');
    const lit = { verdict: Verdict.Fail, reason: Reason.LitOnMains, onMainsMilliamps: 310 };
    expect(said(test(1, TestKind.Brief, lit))).toMatch(/^Most likely the switched live/);
  });

  it('is a dead lamp and no sensor if what it read on mains went with the supply', () => {
    const glowing = { ...dark(56), onMainsMilliamps: 80, milliampsAt5: -80 };
    expect(said(test(28, TestKind.Brief), glowing)).toBe(
      'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on ' +
        'day 56 (-80 of 300 mA), and it was last lit on day 28. It also glowed on mains, with 80 mA: look for ' +
        'leakage or a wrong connection.',
    );
    expect(said({ ...glowing, onMainsMilliamps: 60 })).toContain('60 mA that no lamp draws');
  });

  it('is another supply if its current did not change, and a second lamp if it was far too high', () => {
    const stayed = {
      ...{ verdict: Verdict.Void, reason: Reason.StayedOnMains, onMainsMilliamps: 402 },
      ...{ milliampsAt5: 401, milliampsAt60: 399 },
    };
    expect(saidOf(false, [test(1, TestKind.Brief), test(28, TestKind.Brief, stayed)])).toBe(
      'Most likely a second supply from another circuit: on day 28 it drew 402 mA before the supply was cut and ' +
        '399 mA 60 s after, with 300 mA commissioned on battery. Its battery was not tested. Prove dead ' +
        'before you touch it: it may be live with its own circuit off. Then find what else feeds it, and ' +
        'disconnect that.',
    );
    const two = { milliampsAt5: 610, milliampsAt60: 605, milliampsEnd: 590 };
    const shared = test(28, TestKind.Brief, {
      ...{ verdict: Verdict.Void, reason: Reason.TooMuchCurrent },
      ...two,
    });
    expect(said(test(1, TestKind.Brief), shared)).toBe(
      'Most likely a second lamp on its sensor, or a wrong commissioned current: on day 28 it read 605 mA at 60 s ' +
        'and 590 mA at the end, with 300 mA commissioned on battery. Follow the wires through the sensor first: ' +
        'one lamp may hide that another is dark. With one lamp on it, measure that on battery, and correct the ' +
        'site file or replace the sensor.',
    );
  });

  it('is the tester, not the luminaire, if the relay or the controller failed', () => {
    const stuck = test(28, TestKind.Brief, { verdict: Verdict.Void, reason: Reason.RelayStuckClosed });
    expect(said(test(1, TestKind.Brief), stuck)).toBe(
      'Most likely the tester, not the luminaire. On day 28: The relay did not open when switched: the supply ' +
        'stayed on.',
    );
  });

  it('is not a mains outage that made a test void', () => {
    const outage = test(28, TestKind.Brief, { verdict: Verdict.Void, reason: Reason.Outage });
    expect(said(test(1, TestKind.Brief), outage)).toBe('');
  });
});
