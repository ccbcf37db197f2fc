import { describe, expect, it } from 'vitest';
import type { ControllerStatus, TonightTest } from '../../../../host/api/views';
import { noticeMessage } from '../../../../host/house/view/noticeMessage';
import { type RiskInput, riskNotice } from '../../../../host/house/view/riskNotice';
import { controller, underTest } from '../../page/samples';
import { HOUSE } from '../site';

const NOW = Date.parse('2026-02-02T22:00Z') / 1000;
const LENGTHS = { brief: { testSec: 90, rechargeSec: 3600 }, full: { testSec: 3600, rechargeSec: 86400 } };

function noticeOf(controllers: ControllerStatus[], tonight: TonightTest[] = [], now = NOW) {
  const lengthsOf: RiskInput['lengthsOf'] = (_circuit, kind) => LENGTHS[kind === 'full' ? 'full' : 'brief'];
  return riskNotice({ site: HOUSE, controllers, tonight, now, lengthsOf });
}

const test = (more: Partial<TonightTest> = {}): TonightTest => ({
  ...{ circuit: 'a', test: 4, kind: 'full', state: 'due', start: NOW + 3600, end: NOW + 9000, ...more },
});

describe('the notice', () => {
  it('is empty while all batteries are full and no test is planned', () => {
    expect(noticeOf([controller('a'), controller('b')])).toEqual({
      ...{ at: NOW, entries: [], unknown: [], unproven: [], known: 2, ifPowerFails: '' },
    });
  });

  it('says where a test is running, and when the batteries will be full again', () => {
    const { entries, ifPowerFails } = noticeOf([underTest('a', { since: NOW - 600 })]);
    expect(entries).toEqual([
      {
        ...{ circuit: 'a', areas: ['Hall'], state: 'discharging', from: 0, until: NOW - 600 + 3600 + 86400 },
        sentence:
          'Hall (circuit a): on battery now in a duration test, batteries full again on Tue 3 Feb 2026, 23:50.',
      },
    ]);
    expect(ifPowerFails).toMatch(
      /^If the power fails: leave Hall at once by torchlight.*tell The caretaker\./,
    );
  });

  it('says until when batteries recharge, or that the end is unknown', () => {
    const known = controller('a', { phase: 'recharging', charged: NOW + 1800 });
    const open = controller('a', { phase: 'recharging', charged: 0 });
    expect(noticeOf([known]).entries).toMatchObject([{ state: 'recharging', until: NOW + 1800 }]);
    expect(noticeOf([open]).entries).toMatchObject([
      { state: 'recharging', until: 0, sentence: expect.stringMatching(/end not yet known\.$/) },
    ]);
  });

  it('promises no end while the supply is off without a test', () => {
    const away = controller('b', { phase: 'outage', supplyBefore: false, supplyAfter: false });
    expect(noticeOf([away]).entries).toMatchObject([{ circuit: 'b', state: 'discharging', until: 0 }]);
  });

  it('keeps what a controller reported before it fell silent, and admits that nothing newer is known', () => {
    const silent = controller('a', { contact: 'silent', phase: 'recharging', charged: NOW + 7200 });
    const never = controller('b', { contact: 'never heard', supplyAfter: false });
    const notice = noticeOf([silent, never]);
    expect(notice.entries).toMatchObject([
      {
        ...{ circuit: 'a', state: 'recharging', until: NOW + 7200 },
        sentence: expect.stringMatching(
          /\(circuit a\), when last heard on Thu 1 Jan 1970, 01:16: batteries rech/,
        ),
      },
    ]);
    expect(notice.known).toBe(0);
    expect(notice.unknown.map(({ sentence }) => sentence)).toEqual([
      'Hall (circuit a): not known whether the batteries are full; nothing heard since Thu 1 Jan 1970, 01:16.',
      'Hall (circuit b): not known whether the batteries are full; its controller has never reported.',
    ]);
  });

  it('does not say that a silent controller is on battery now', () => {
    const [entry] = noticeOf([underTest('a', { contact: 'silent' })]).entries;
    expect(entry.sentence).toMatch(/when last heard on .*: on battery in a duration test/);
    expect(entry.sentence).not.toMatch(/\bnow\b/);
  });

  it('promises no end for a silent controller whose test and recharge should be over', () => {
    const end = NOW + 3600 + 86400;
    const silent = underTest('a', { since: NOW, contact: 'silent' });
    expect(noticeOf([silent], [], end - 1).entries).toMatchObject([{ until: end }]);
    const late = noticeOf([silent], [], end);
    expect(late.entries).toMatchObject([
      {
        ...{ state: 'discharging', until: 0 },
        sentence: expect.stringMatching(/in a duration test, not known when the batteries will be full\.$/),
      },
    ]);
    expect(late).toMatchObject({ known: 0, unknown: [{ circuit: 'a' }] });
    expect(late.ifPowerFails).toMatch(/^If the power fails: leave Hall/);
  });

  it('lists tests due within a day, and no others', () => {
    const told = (more: Partial<TonightTest>) => noticeOf([controller('a')], [test(more)]).entries;
    expect(told({})).toMatchObject([
      {
        ...{ state: 'planned', from: NOW + 3600, until: NOW + 3600 + 3600 + 86400 },
        sentence:
          'Hall (circuit a): duration test planned for Tue 3 Feb 2026, 00:00, batteries full again on Wed 4 Feb 2026, 01:00.',
      },
    ]);
    expect(told({ start: NOW - 60 })).toMatchObject([{ from: NOW, until: NOW + 3600 + 86400 }]);
    expect(told({ start: NOW + 3 * 86400 })).toEqual([]);
    for (const state of ['pass', 'fail', 'void', 'not run', 'running'] as const)
      expect(told({ state })).toEqual([]);
  });
});

describe('its message', () => {
  const message = (notice: ReturnType<typeof noticeOf>, bytes = 4096) =>
    JSON.parse(noticeMessage(notice, bytes)) as Record<string, unknown>;

  it('contains sentences, areas and the latest end', () => {
    const notice = noticeOf([underTest('a', { since: NOW }), controller('b', { charged: NOW + 60 })]);
    expect(message(notice)).toEqual({
      ...{ v: 1, at: NOW, until: NOW + 3600 + 86400, circuits: 2, unknown: 0, areas: ['Hall'] },
      text: [...notice.entries.map(({ sentence }) => sentence), notice.ifPowerFails].join(' '),
    });
  });

  it('says so if there is nothing to report, and which circuits are unknown', () => {
    expect(message(noticeOf([controller('a')]))).toMatchObject({
      ...{ circuits: 0, unknown: 0, areas: [], until: 0 },
      text: 'No batteries are discharging or recharging now, and no test is planned for tonight.',
    });
    const silent = controller('a', { contact: 'silent' });
    expect(message(noticeOf([silent, controller('b')]))).toMatchObject({
      ...{ circuits: 0, unknown: 1 },
      text: expect.stringMatching(
        /^In the circuits that report, no batteries .* Hall \(circuit a\): not known whether the batteries are full; nothing heard since /,
      ),
    });
  });

  it('says nothing of batteries while no controller reports, or all are starting', () => {
    const blind = { supplyBefore: null, supplyAfter: null, relayOpen: null };
    const never = controller('a', { contact: 'never heard', phase: 'unknown', ...blind });
    const starting = controller('b', { phase: 'starting', ...blind });
    expect(message(noticeOf([never, starting]))).toMatchObject({
      ...{ circuits: 0, unknown: 2 },
      text: 'No controller is reporting; no test is planned for tonight. Not known whether the batteries are full in any circuit.',
    });
  });

  it('gives no end if one of them has none', () => {
    const away = controller('b', { phase: 'outage', supplyAfter: false });
    expect(message(noticeOf([underTest('a'), away]))).toMatchObject({ until: 0, circuits: 2 });
  });

  it('counts what does not fit', () => {
    const many = noticeOf(Array.from({ length: 200 }, () => underTest('a', { since: NOW })));
    const text = noticeMessage(many, 1024);
    expect(Buffer.byteLength(text)).toBeLessThanOrEqual(1024);
    expect(JSON.parse(text)).toMatchObject({
      circuits: 200,
      text: expect.stringMatching(/And 1\d\d more circuits/),
    });
  });
});
