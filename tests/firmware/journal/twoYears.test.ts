// Two years on the device (DIN VDE V 0108-100, through a handbook, secondary): sixteen luminaires, a brief
// test every week, a full test every year, and the events of an ordinary year, all with wide numbers.
import { expect, it } from 'vitest';
import { loadBoard } from '../../../firmware/build/boards';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { CURVE_SHIFT } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import { signingKey } from '../../../firmware/contract/signature';
import {
  chargeRecord,
  eventRecord,
  intentRecord,
  orderRecord,
  resultRecord,
  startRecord,
} from '../../../firmware/core/records';
import { type Core, newCore } from '../../../firmware/core/state';
import { acknowledge, appendRecord, type Journal, mountJournal } from '../../../firmware/journal/journal';
import { sha256 } from '../../../simulator/digest';
import { SimulatedFlash } from '../../../simulator/flash';

const KEY = signingKey('journal secret', sha256);
const WEEKS = 104;
const NOW = 2_000_000_000;

/**
 * A controller late in its life: every number as long as it can get, all sixteen curves with all their
 * points.
 */
function oldCore(): Core {
  const s = newCore(1234);
  s.clockSet = 1;
  s.utcBase = 1_767_614_400_000;
  s.syncAt = NOW;
  s.set.lampCount = Limit.Luminaires;
  s.set.revision = 1234;
  s.testPlan = 1234;
  s.test = 1234;
  s.startedUtc = 1_767_614_400;
  s.openMs = 1234;
  for (let i = 0; i < Limit.Luminaires; i++) {
    s.verdict[i] = Verdict.Pass;
    s.litSec[i] = Limit.RatedSecMax;
    s.at5[i] = s.at60[i] = s.ma[i] = 1234;
    s.sum[i] = -123;
    s.curveSettled[i] = Limit.CurvePoints - 1;
    for (let k = 0; k < Limit.CurvePoints; k++)
      s.curve[i * Limit.CurvePoints + k] = k * 18 * CURVE_SHIFT + 100 - k;
  }
  s.chargeStepSec = 3600;
  s.chargeFirst = 1234;
  for (let i = 0; i < s.chargeCurve.length; i++) s.chargeCurve[i] = 60 - i;
  return s;
}

function testRecords(s: Core, kind: TestKind): string[] {
  s.kind = kind;
  s.end = Reason.Complete;
  s.dischargeSec = kind === TestKind.Full ? Limit.RatedSecMax : 180;
  s.curveNext = kind === TestKind.Full ? Limit.CurveGrid : 0;
  const charge = chargeRecord(s, Reason.None, 36_000, 72_000, s.chargeCurve.length, NOW);
  return [intentRecord(s, NOW), resultRecord(s, 1234, NOW), charge];
}

/** Other records of a year: our own estimate of an ordinary one (common practice, no source). */
function yearsEvents(s: Core): string[] {
  const each = (count: number, bodies: string[]) => Array.from({ length: count }, () => bodies).flat();
  const event = (kind: string, reason: Reason, arg = 604_800) => eventRecord(s, kind, reason, arg, NOW);
  const who = 'w'.repeat(40);
  return [
    ...each(4, [startRecord(s, 123, NOW)]),
    ...each(6, [event('outage', Reason.Outage), event('supply', Reason.Outage)]),
    ...each(6, [event('held', Reason.OrderedHold), event('released', Reason.OrderedHold)]),
    ...each(12, [orderRecord(s, 'order', 1_767_614_400, 5, 604_800, Reason.None, who, NOW)]),
    ...each(2, [event('fault', Reason.SupplyLost), event('cleared', Reason.SupplyLost)]),
    ...each(2, [`${event('overdue', Reason.None, 1234)},"plan":1234,"type":2`]),
  ];
}

/** Records of week `n`, counted from 1; the events of a year are spread over it. */
function week(s: Core, events: string[], n: number): string[] {
  const tests = [...testRecords(s, TestKind.Brief), ...(n % 52 === 0 ? testRecords(s, TestKind.Full) : [])];
  return [...tests, ...events.filter((_, i) => i % 52 === n % 52)];
}

function mount(flash: SimulatedFlash, bytes: number, visit: (text: string) => void = () => {}): Journal {
  const j = mountJournal(flash, KEY, 'site-with-a-long-name/c1', bytes, () => 'aaaa0001', visit);
  if (!j) throw new Error('The journal did not mount.');
  return j;
}

it('two years of sixteen luminaires take 160,000 to 180,000 bytes, a full test at most 2,100 of them', () => {
  const s = oldCore();
  const events = yearsEvents(s);
  const j = mount(new SimulatedFlash(), 1_000_000);
  const from = j.offset;
  let longest = 0;
  for (let n = 1; n <= WEEKS; n++)
    for (const body of week(s, events, n)) {
      const at = j.offset;
      expect(appendRecord(j, [body])).toBe(true);
      longest = Math.max(longest, j.offset - at);
    }
  expect(longest).toBeGreaterThan(1700);
  expect(longest).toBeLessThan(2100);
  expect(j.offset - from).toBeGreaterThan(160_000);
  expect(j.offset - from).toBeLessThan(180_000);
});

it('the files of a board with room for them hold the last two years at any moment of five years', async () => {
  const s = oldCore();
  const events = yearsEvents(s);
  const bytes = (await loadBoard('esp32')).flash.journalBytes;
  const flash = new SimulatedFlash();
  const j = mount(flash, bytes);
  const newest = [0];
  let turned = 0;
  for (let n = 1; n <= 5 * 52; n++) {
    const { generation } = j;
    for (const body of week(s, events, n)) expect(appendRecord(j, [body])).toBe(true);
    acknowledge(j, j.id, j.last);
    newest.push(j.last);
    // The journal holds least just after the older file was erased.
    if (j.generation === generation || n <= WEEKS) continue;
    turned++;
    const kept: number[] = [];
    mount(flash, bytes, (text) => kept.push((JSON.parse(text) as { seq: number }).seq));
    const wanted = Array.from({ length: j.last - newest[n - WEEKS] }, (_, i) => newest[n - WEEKS] + 1 + i);
    expect(kept.slice(-wanted.length)).toEqual(wanted);
  }
  expect(turned).toBeGreaterThan(0);
});
