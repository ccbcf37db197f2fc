// What a report finds out, each from records that a controller or a person wrote.
import { describe, expect, it } from 'vitest';
import { ClockTrust, Reason, TestKind } from '../../../firmware/contract/codes';
import { dutiesOf } from '../../../host/duties/duties';
import { isOpen } from '../../../host/report/findings';
import { isClean, statusWords } from '../../../host/report/report';
import { HOUSE } from '../house/site';
import { at, DAY_SEC, newBook } from './book';
import {
  FAIL,
  FROM,
  first,
  goodHouse,
  goodYear,
  heardNow,
  lookedAfter,
  ofTests,
  PASS,
  VOID,
} from './goodHouse';
import { blocksOf, tablesUnder } from './tables';

describe('a report', () => {
  it('is clean when every test came in time and passed, and people have looked', async () => {
    const book = await goodHouse();
    await heardNow(book);
    const before = await book.report(FROM, '2026-12-31');
    expect(before.deviations).toEqual([]);
    expect(isClean(before)).toBe(false);
    expect(statusWords(before)).toMatch(
      /^Not satisfactory: 0 open deviations, 0 open defects, \d human checks overdue\./,
    );
    await lookedAfter(book);
    const report = await book.report(FROM, '2027-01-14');
    expect(isClean(report)).toBe(true);
    expect(statusWords(report)).toBe('Nothing is open.');
    expect(report.found.checks).toHaveLength(dutiesOf(HOUSE).length);
    expect(report.found.counts.get('brief')).toEqual({ tests: 24, pass: 36, fail: 0, void: 0 });
    expect(report.found.counts.get('full')).toEqual({ tests: 2, pass: 3, fail: 0, void: 0 });
  });

  it('is not clean while a person has found something that nobody has seen in order since', async () => {
    const book = await goodHouse();
    await heardNow(book);
    await lookedAfter(book, {}, at('2027-01-12', 9));
    await lookedAfter(book, { mark: 'not in order', words: 'hidden by a curtain' }, at('2027-01-13', 9));
    const report = await book.report(FROM, '2027-01-14');
    const points = dutiesOf(HOUSE).reduce((sum, duty) => sum + duty.points.length, 0);
    expect(report.duties.some(({ state }) => state === 'overdue')).toBe(false);
    expect(isClean(report)).toBe(false);
    expect(statusWords(report)).toBe(
      `Not satisfactory: 0 open deviations, 0 open defects, ${points} open findings of people.`,
    );
    await lookedAfter(book);
    expect(isClean(await book.report(FROM, '2027-01-14'))).toBe(true);
  });

  it('calls no circuit silent that the host hears, and without a host says that nobody knows', async () => {
    const book = await goodHouse();
    await lookedAfter(book);
    // Healthy controllers write nothing between tests.
    const now = at('2027-01-16', 2);
    const contacts = ['a', 'b'].map((circuit) => ({
      circuit,
      contact: 'reporting' as const,
      heardAt: now - 60,
    }));
    const report = (more: object) => book.report(FROM, '2027-01-14', { now, ...more });
    expect((await report({ contacts })).deviations).toEqual([]);
    const alone = await report({});
    expect(alone.deviations.map(({ what, circuit }) => `${what} ${circuit}`)).toEqual([
      'circuit silent a',
      'circuit silent b',
    ]);
    expect(alone.deviations.map(isOpen)).toEqual([false, false]);
    expect(alone.deviations[0].text).toMatch(/^Newest record .* only the running host knows/);
    expect(isClean(alone)).toBe(true);
    expect(statusWords(alone)).toMatch(
      / Whether the controllers of 2 circuits are heard is not known here\.$/,
    );
    const tables = tablesUnder(await blocksOf(alone), 'Deviations');
    expect(tables.map(({ State }) => State)).toEqual(['not known', 'not known']);
  });

  it('names what no test has proven for too long, in the words of the defects', async () => {
    const book = await goodHouse();
    await lookedAfter(book);
    for (const date of ['2027-01-12', '2027-01-13'])
      await book.test('a', TestKind.Brief, at(date), [{ ...VOID, reason: Reason.SensorSilent }, PASS]);
    const report = await book.report(FROM, '2027-01-14');
    expect(isClean(report)).toBe(false);
    expect(statusWords(report)).toContain(' 0 open defects, 1 luminaire not proven');
    const [row] = tablesUnder(await blocksOf(report), 'Not proven');
    expect(row).toMatchObject({ Circuit: 'a', Luminaire: 'A-01' });
    expect(row['In words']).toMatch(/^Not proven since .+ Tests without a verdict: 2, the last on /);
  });

  it('blames no clock for the days that a simulation went on past today', async () => {
    const book = await goodHouse();
    const now = at('2026-01-30');
    const clocks = async (simulated: boolean) =>
      (await book.report('2026-01-01', '2026-01-29', { now, simulated })).deviations
        .filter(({ what }) => what === 'clock')
        .map(({ text }) => text.split(': ')[1]);
    expect(await clocks(false)).toEqual(['a clock is wrong.']);
    expect(await clocks(true)).toEqual(['the simulation went on past today.']);
  });

  it('names the circuit that has not been heard', async () => {
    const book = await goodHouse();
    // Yesterday evening is not long ago.
    await heardNow(book);
    const heardAt = at('2027-01-15');
    const contacts = ['a', 'b'].map((circuit) => ({ circuit, contact: 'silent' as const, heardAt }));
    const until = { now: at('2027-01-15', 20), contacts };
    expect((await book.report(FROM, '2027-01-15', until)).deviations).toEqual([]);
    const report = await book.report(FROM, '2027-01-15', { now: at('2027-01-16', 2), contacts });
    expect(report.deviations.map(({ what, circuit }) => `${what} ${circuit}`)).toEqual([
      'circuit silent a',
      'circuit silent b',
    ]);
    expect(isClean(report)).toBe(false);
  });

  it('says that nothing is known from before the log book began', async () => {
    const book = await goodHouse();
    const { deviations } = await book.report('2026-01-01', '2026-12-31');
    expect(ofTests(deviations).map(({ text }) => text)).toEqual([
      'The log book begins on Mon 2 Feb 2026, 03:40: nothing before that is known.',
    ]);
  });

  it('tells a test that came late from one that has not come', async () => {
    const book = await newBook();
    await goodYear(book, 'a', 2, at('2026-04-10'));
    await book.test('a', TestKind.Brief, at('2026-06-20'), [PASS, PASS]);
    await goodYear(book, 'b', 1);
    const late = ofTests((await book.report(FROM, '2026-12-31')).deviations);
    expect(
      late.map(({ what, circuit, closedAt, luminaires }) => [what, circuit, closedAt, luminaires]),
    ).toEqual([
      ['test late', 'a', 0, ['A-01', 'A-02']],
      ['test late', 'a', at('2026-06-20'), ['A-01', 'A-02']],
    ]);
    expect(late[0].text).toContain('has not been made; the one before was on Sat 20 Jun 2026');
    expect(late[1].text).toContain('came on Sat 20 Jun 2026; the one before was on Mon 30 Mar 2026');
  });

  it('leaves what was late before or after the period to the reports on that time', async () => {
    const book = await newBook();
    await goodYear(book, 'a', 2);
    await goodYear(book, 'b', 1, at('2026-03-10'));
    for (const day of ['2026-06-20', '2026-07-15', '2026-08-12'])
      await book.test('b', TestKind.Brief, at(day), [PASS]);
    const late = async (from: string, to: string) =>
      (await book.report(from, to)).deviations.filter(({ what }) => what === 'test late').length;
    expect(await late(FROM, '2026-03-31')).toBe(0);
    expect(await late('2026-04-15', '2026-05-01')).toBe(1);
    expect(await late('2026-07-01', '2026-08-31')).toBe(0);
    expect(await late('2026-07-01', '2026-09-30')).toBe(1);
  });

  it('counts a luminaire that was left out of a test as late, and its neighbour not', async () => {
    const book = await newBook();
    await goodYear(book, 'b', 1);
    await goodYear(book, 'a', 2, at('2026-12-01'));
    for (const day of ['2026-12-08', '2027-01-05'])
      await book.test('a', TestKind.Brief, at(day), [PASS, VOID]);
    const report = await book.report(FROM, '2026-12-31');
    const late = report.deviations.filter(({ what }) => what === 'test late');
    expect(late.map(({ luminaires }) => luminaires)).toEqual([['A-02']]);
    expect(late[0].closedAt).toBe(0);
  });

  it('counts nights: a test in the last permitted night is in time, one in the next is late', async () => {
    // 31 nights after that of 2 February: the night that begins on 5 March.
    for (const [started, late] of [
      [at('2026-03-06', 10), 0],
      [at('2026-03-06', 12), 1],
    ]) {
      const book = await newBook();
      await book.test('b', TestKind.Full, at('2026-02-02', 22), [PASS]);
      await book.test('b', TestKind.Brief, started, [PASS]);
      const { deviations } = await book.report(FROM, '2026-03-06', { now: at('2026-03-07') });
      expect(deviations.filter(({ what, circuit }) => what === 'test late' && circuit === 'b')).toHaveLength(
        late,
      );
    }
  });

  it('takes a limited test for a duration test only where people are always there', async () => {
    const book = await newBook();
    await book.test('b', TestKind.Limited, first, [{ ...PASS, litSec: 2400 }]);
    for (let time = first; time < at('2027-03-01'); time += 28 * DAY_SEC)
      await book.test('b', TestKind.Brief, time, [PASS]);
    const late = async (alwaysOccupied: boolean) => {
      const circuits = HOUSE.circuits.map((circuit) => ({ ...circuit, alwaysOccupied }));
      const site = { ...HOUSE, circuits };
      const { deviations } = await book.report(FROM, '2027-02-28', { site, now: at('2027-03-01') });
      const own = deviations.filter(({ what, circuit }) => what === 'test late' && circuit === 'b');
      return own.map(({ text }) => text.split(' due by')[0]);
    };
    expect(await late(false)).toEqual(['The duration test']);
    expect(await late(true)).toEqual(['The limited duration test (2/3, not the full duration)']);
    await book.test('b', TestKind.Limited, at('2027-01-20'), [{ ...PASS, litSec: 2400 }]);
    expect(await late(true)).toEqual([]);
    expect(await late(false)).toEqual(['The duration test']);
  });

  it('does not forget a duration test that was missed before a new battery was fitted', async () => {
    const book = await newBook();
    for (let time = first; time < at('2028-01-15'); time += 28 * DAY_SEC)
      await book.test('b', TestKind.Brief, time, [PASS]);
    const due = async (batteryFitted: string) => {
      const [a, b] = HOUSE.circuits;
      const circuits = [a, { ...b, luminaires: [{ ...b.luminaires[0], batteryFitted }] }];
      const now = at('2028-01-15');
      const { deviations } = await book.report(FROM, '2028-01-14', { site: { ...HOUSE, circuits }, now });
      const own = deviations.filter(({ what, circuit }) => what === 'test late' && circuit === 'b');
      return own.map((one) => `${one.text.split(' has ')[0]} ${isOpen(one)}`);
    };
    const missed = ['The duration test due by Tue 2 Feb 2027 true'];
    expect(await due('2024-03-01')).toEqual(missed);
    expect(await due('2027-12-01')).toEqual(missed);
    // Fitted before it was missed, the battery is what counts.
    expect(await due('2027-01-01')).toEqual(['The duration test due by Sat 1 Jan 2028 true']);
  });

  it('doubts a clock when entries are ahead of the time it is made', async () => {
    const book = await goodHouse();
    const { deviations } = await book.report('2026-01-01', '2026-01-31', { now: at('2026-01-20') });
    expect(deviations.filter(({ what }) => what === 'clock').map(isOpen)).toEqual([true]);
  });

  it('lists a luminaire of the site file that was never tested', async () => {
    const book = await newBook();
    await goodYear(book, 'b', 1);
    const report = await book.report(FROM, '2026-12-31');
    expect(report.lamps.map(({ id, counts }) => `${id} ${counts.pass}`)).toEqual([
      'A-01 0',
      'A-02 0',
      'B-01 12',
    ]);
    const late = report.deviations.filter(({ what }) => what === 'test late');
    expect(late.map(({ text }) => text).every((text) => text.includes('none is on record before'))).toBe(
      true,
    );
    expect(late.length).toBe(1);
  });
});

describe('what the site file no longer has', () => {
  it('ends what was open about it, and stays in the report', async () => {
    const book = await goodHouse();
    await book.test('a', TestKind.Full, at('2026-05-05'), [PASS, VOID]);
    await book.test('a', TestKind.Full, at('2026-05-06'), [VOID, VOID]);
    await book.test('b', TestKind.Full, at('2026-05-05'), [VOID]);
    await book.event('b', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    const [a] = HOUSE.circuits;
    const site = { ...HOUSE, circuits: [{ ...a, luminaires: a.luminaires.slice(0, 1) }] };
    const states = async () =>
      ofTests((await book.report(FROM, '2026-12-31', { site })).deviations)
        .map(
          (one) =>
            `${one.circuit} ${one.what} ${isOpen(one)} ${one.text.includes('no longer in the site file')}`,
        )
        .sort();
    expect(await states()).toEqual([
      ...['a test void false true', 'a test void true false'],
      ...['b test void false true', 'b tester fault false true'],
    ]);
    await book.test('a', TestKind.Full, at('2026-05-07'), [PASS, VOID]);
    expect((await states()).filter((words) => words.endsWith(' true false'))).toEqual([]);
  });
});

describe('a defect', () => {
  it('has its repair and the test that showed it, and no shorter test ends it', async () => {
    const book = await goodHouse();
    const repaired = { luminaires: 'A-02', what: 'battery changed', retest: TestKind.Full };
    await book.test('a', TestKind.Full, at('2026-03-03'), [{ ...PASS, litSec: 3600 }, FAIL]);
    await book.note({ circuit: 'a', kind: 'repaired', at: at('2026-03-05'), who: 'J Doe', fields: repaired });
    await book.test('a', TestKind.Brief, at('2026-03-06'), [PASS, PASS]);
    const open = await book.report(FROM, '2026-12-31');
    expect(open.defects).toHaveLength(1);
    expect(open.defects[0]).toMatchObject({ luminaire: 'A-02', fails: 1, closed: null, needs: 'full' });
    expect(open.defects[0].opened.at).toBe(at('2026-03-03'));
    expect(open.defects[0].repairs).toMatchObject([{ who: 'J Doe', what: 'battery changed' }]);
    expect(isClean(open)).toBe(false);
    await book.test('a', TestKind.Full, at('2026-03-20'), [PASS, PASS]);
    const [closed] = (await book.report(FROM, '2026-12-31')).defects;
    expect(closed.closed).toMatchObject({ at: at('2026-03-20'), kind: 'full' });
    // One that was put right before the period is none of this report's, one that was found after it neither.
    expect((await book.report('2026-04-01', '2026-12-31')).defects).toEqual([]);
    expect((await book.report(FROM, '2026-03-02')).defects).toEqual([]);
  });
});

describe('troubles of controllers', () => {
  it('are overdue tests until one is completed that shows as much', async () => {
    const book = await goodHouse();
    const overdue = { reason: Reason.None, arg: 7, plan: 1 };
    await book.event('a', 'overdue', { ...overdue, type: TestKind.Full });
    await book.event('a', 'overdue', { ...overdue, type: TestKind.Brief });
    const states = async () =>
      (await book.report(FROM, '2027-01-14')).deviations
        .filter(({ what }) => what === 'test overdue')
        .map((one) => [one.text.split(' is ')[0], isOpen(one)]);
    await book.test('a', TestKind.Brief, at('2027-01-10'), [PASS, PASS]);
    expect(await states()).toEqual([
      ['Duration test', true],
      ['Function test', false],
    ]);
    await book.test('a', TestKind.Full, at('2027-01-11'), [PASS, PASS]);
    expect((await states()).map(([, isLeft]) => isLeft)).toEqual([false, false]);
  });

  it('are open until they are cleared', async () => {
    const book = await goodHouse();
    await book.event('a', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.event('a', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.event('b', 'held', { reason: Reason.OrderedHold, arg: 0 });
    const words = async () =>
      (await book.report(FROM, '2026-12-31')).deviations
        .filter(({ what }) => what === 'tester fault' || what === 'hold')
        .map((one) => `${one.what} ${isOpen(one) ? 'open' : 'closed'}`);
    expect(await words()).toEqual(['tester fault open', 'hold open']);
    await book.event('a', 'cleared', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.event('b', 'released', { reason: Reason.OrderedHold, arg: 3600 });
    expect(await words()).toEqual(['tester fault closed', 'hold closed']);
  });

  it('end with the memory of a controller that begins anew, which is one of its own', async () => {
    const book = await goodHouse();
    await book.event('a', 'start', { cause: 0, firmware: '0.1.0' });
    await book.event('a', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.anew('a');
    await book.event('a', 'start', { cause: 0, firmware: '0.1.0' });
    const found = ofTests((await book.report(FROM, '2026-12-31')).deviations);
    expect(found.map((one) => `${one.what} ${isOpen(one)}`).sort()).toEqual([
      'records false',
      'tester fault false',
    ]);
  });

  it('include a date that rests on a clock nobody had set', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Brief, at('2026-05-05'), [PASS], { clock: ClockTrust.NeverSet });
    const { deviations } = await book.report(FROM, '2026-12-31');
    expect(deviations.filter(({ what }) => what === 'clock')).toMatchObject([{ circuit: 'b' }]);
  });
});

describe('the records behind a report', () => {
  it('are doubted when the log book does not say whose results they are', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Brief, at('2026-05-05'), [PASS], { settings: 7 });
    const { deviations } = await book.report(FROM, '2026-12-31');
    expect(ofTests(deviations)).toMatchObject([
      {
        what: 'records',
        text: 'The log book does not say which luminaires 1 results are about.',
        closedAt: 0,
      },
    ]);
  });

  it('are doubted when an entry lacks its signature', async () => {
    const book = await goodHouse();
    const forged = JSON.stringify({
      v: 1,
      journal: 'ffff',
      seq: 1,
      boot: 1,
      utc: at('2026-05-05'),
      clock: 2,
      kind: 'start',
    });
    await book.logbook.appendBatch([
      {
        address: 'demo/b',
        journal: 'ffff',
        seq: 1,
        kind: 'start',
        test: 0,
        at: at('2026-05-05'),
        body: forged,
      },
    ]);
    const { deviations } = await book.report(FROM, '2026-12-31');
    expect(deviations.some(({ what, text }) => what === 'log book' && text.startsWith('signature:'))).toBe(
      true,
    );
  });

  it('belong to this building only', async () => {
    const book = await goodHouse();
    const other = { ...HOUSE, id: 'other' };
    const report = await book.report(FROM, '2026-12-31', { site: other });
    expect([...report.found.counts]).toEqual([]);
    expect(report.lamps.map(({ counts }) => counts.pass)).toEqual([0, 0, 0]);
  });
});
