// The schedule and the texts in it.

import { text } from 'node:stream/consumers';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { resultsTable } from '../../../host/report/csv';
import { visibleText } from '../../../host/report/pdf/fonts';
import { linesOf } from '../../../host/report/pdf/wrap';
import {
  type LampTest,
  reachedWords,
  rowsOf,
  scheduledCircuits,
  testsOf,
} from '../../../host/report/schedule';
import { HOUSE } from '../house/site';
import { at, newBook } from './book';

const PASS = { verdict: Verdict.Pass };
const FROM = '2026-02-02';

const sample: LampTest = {
  ...{ entry: 1, at: 0, circuit: 'a', kind: 'full', luminaire: 'A-01', formerly: '', place: 'Hall' },
  ...{ litSec: 3600, ratedSec: 3600, verdict: 'pass', reason: '' },
  milliamps: { battery: [300, 300, 290], mains: 0 },
};

describe('the schedule', () => {
  it('gives a result to its luminaire under the id it has today, also in a circuit that is gone', async () => {
    const book = await newBook();
    await book.test('a', TestKind.Brief, at('2026-03-02'), [
      PASS,
      { verdict: Verdict.Fail, reason: 1, litSec: 0 },
    ]);
    await book.test('b', TestKind.Brief, at('2026-03-03'), [PASS]);
    const [a] = HOUSE.circuits;
    const [one, two] = a.luminaires;
    const luminaires = [one, { ...two, id: 'A-09', formerly: ['A-02'] }];
    const report = await book.report(FROM, '2026-12-31', {
      site: { ...HOUSE, circuits: [{ ...a, luminaires }] },
    });
    expect(scheduledCircuits(report)).toEqual(['a', 'b']);
    const told = async (circuit: string) =>
      (await testsOf(report, circuit))
        .flat()
        .map((test) => `${test.luminaire} ${test.formerly} ${test.verdict}`);
    expect(await told('a')).toEqual(['A-01  pass', 'A-09 A-02 fail']);
    expect(await told('b')).toEqual(['B-01  pass']);
    expect(report.defects.map(({ luminaire }) => luminaire)).toEqual(['A-09']);
  });

  it('puts only the very same outcomes into one row, and loses none', () => {
    const outcome = fc.record({
      litSec: fc.constantFrom(0, 59, 60, 119, 3599, 3600),
      verdict: fc.constantFrom('pass' as const, 'fail' as const, 'void' as const),
      reason: fc.constantFrom('', 'It was dark.'),
    });
    fc.assert(
      fc.property(fc.array(outcome, { maxLength: 120 }), (outcomes) => {
        const tests = outcomes.map((one, i): LampTest => ({ ...sample, ...one, luminaire: `L-${i}` }));
        const rows = rowsOf(tests);
        const told = rows.flatMap((row) =>
          row.luminaires.map((id) => `${id} ${row.verdict} ${reachedWords(row)} ${row.reason}`),
        );
        const wanted = tests.map(
          (one) => `${one.luminaire} ${one.verdict} ${reachedWords(one)} ${one.reason}`,
        );
        expect(told.sort()).toEqual(wanted.sort());
        expect(Math.max(0, ...rows.map(({ luminaires }) => luminaires.length))).toBeLessThanOrEqual(40);
      }),
    );
  });

  it('does not say how long a lamp was lit if the tester could not see it', async () => {
    const book = await newBook();
    const silent = { verdict: Verdict.Void, reason: Reason.SensorSilent };
    await book.test('a', TestKind.Brief, at('2026-03-02'), [silent, PASS]);
    const report = await book.report(FROM, '2026-12-31');
    const tests = (await testsOf(report, 'a')).flat();
    expect(tests.map(reachedWords)).toEqual(['not known', '90 s']);
    const [, line] = (await text(resultsTable({ ...report, turns: () => undefined }))).split('\r\n');
    expect(line).toContain(',unknown,3600,void,');
  });

  it('never says that a lamp was lit for longer than it was', () => {
    expect(reachedWords({ ...sample, litSec: 3599 })).toBe('59 min of 60 min');
    expect(reachedWords({ ...sample, litSec: 10_799, ratedSec: 10_800 })).toBe('2 h 59 min of 3 h');
    expect(reachedWords({ ...sample, litSec: 119 })).toBe('119 s of 60 min');
    expect(reachedWords({ ...sample, kind: 'brief', litSec: 90 })).toBe('90 s');
    expect(reachedWords({ ...sample, ratedSec: 0 })).toBe('60 min of unknown');
  });
});

describe('text on paper', () => {
  const measure = (text: string) => [...text].length;

  it('is broken into lines that fit, without losing a character', () => {
    fc.assert(
      fc.property(
        fc.array(fc.string({ unit: 'grapheme', maxLength: 30 })),
        fc.integer({ min: 1, max: 20 }),
        (words, width) => {
          const text = words.join(' ');
          const lines = linesOf(text, width, measure);
          expect(lines.join('').replaceAll(' ', '')).toBe(text.replaceAll(' ', ''));
          expect(Math.max(...lines.map(measure))).toBeLessThanOrEqual(width);
        },
      ),
    );
  });

  it('shows a code for what no font has, and for what would not be seen', () => {
    const hasGlyph = (codePoint: number) => codePoint < 0x3000;
    expect(visibleText('Tür 東 \u{1F525}\u202Etxt\u200B\n.', hasGlyph)).toBe(
      'Tür [U+6771] [U+1F525][U+202E]txt[U+200B] .',
    );
  });
});
