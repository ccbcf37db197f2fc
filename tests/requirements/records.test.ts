// Requirements on what the controller keeps, and on faults of its own parts and program. Status marks: V1
// read in primary text or an authority's page, V2 secondary restatement, M from memory, CP common practice
// without source.
import { describe, expect, it } from 'vitest';
import { loadBoard } from '../../firmware/build/boards';
import { OrderKind, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord, StartRecord } from '../../firmware/contract/messages';
import { signingKey } from '../../firmware/contract/signature';
import { acknowledge, appendRecord, type Journal, mountJournal } from '../../firmware/journal/journal';
import { SETTINGS_FILE } from '../../firmware/link/inbox';
import { sha256 } from '../../simulator/digest';
import { SimulatedFlash } from '../../simulator/flash';
import type { SimulatedWire } from '../../simulator/network';
import { type Estate, HOURS, WINDOW_MS } from '../simulator/estate';
import {
  allVoid,
  circuit,
  DAY_MS,
  LOST_SEC,
  onlyResult,
  renewsNoLease,
  restart,
  results,
  runTo,
  slot,
  toDark,
  verdicts,
} from './rig';

const KEY = signingKey('estate secret', sha256);
const core = (e: Estate) => e.node.controller!.core;

function mount(flash: SimulatedFlash, bytes: number): { journal: Journal; kept: string[] } {
  const kept: string[] = [];
  const visit = (text: string) => kept.push(text);
  const journal = mountJournal(flash, KEY, 'estate/c1', bytes, () => 'aaaa0001', visit);
  if (!journal) throw new Error('The journal did not mount.');
  return { journal, kept };
}

/** Bodies of the records of a brief and a full test of 16 luminaires rated for 3 h. */
function yearsRecords(): { brief: string[]; full: string[] } {
  const lamps = Array.from({ length: 16 }, (_, i) => `${i % 2},200,${i % 2 ? 300 : 0},10800;`).join('');
  const slots = [slot(1, TestKind.Brief), slot(2, TestKind.Full, 2)];
  const e = circuit(TestKind.Brief, { slots, settings: { lamps } });
  e.node.spec.rules.ratedSec = 10_800;
  e.run(WINDOW_MS + 3 * DAY_MS);
  expect(e.watch.violations).toEqual([]);
  const bodies = e.records.map((text) => text.slice(text.indexOf('"boot"'), text.lastIndexOf(',"prev"')));
  const of = (type: TestKind) => bodies.filter((body) => body.includes(`"type":${type}`));
  return { brief: of(TestKind.Brief), full: of(TestKind.Full) };
}

describe('the history kept in the controller', () => {
  it('R15 results already in the log book stay in the controller too, and an empty log book gets them all again (NFPA 101, 7.9.3.1.3, M)', () => {
    const slots = [slot(1, TestKind.Brief), slot(2, TestKind.Full, 2), slot(3, TestKind.Brief, 5)];
    const e = circuit(TestKind.Brief, { slots }).run(WINDOW_MS + 6 * DAY_MS);
    expect(e.node.controller?.journal.acked).toBe(e.records.length);
    const before = e.records.splice(0);
    expect(before.filter((text) => text.includes('"kind":"result"'))).toHaveLength(3);
    restart(e).run(WINDOW_MS + 6 * DAY_MS + HOURS(1));
    expect(e.records.slice(0, before.length)).toEqual(before);
    expect(e.refused).toEqual([]);
  });

  it('R21 at any moment a board with room for it holds two years of weekly and yearly results of 16 luminaires (DIN VDE V 0108-100, V2)', async () => {
    const { brief, full } = yearsRecords();
    expect([brief.length, full.length]).toEqual([2, 2]);
    const bytes = (await loadBoard('esp32')).flash.journalBytes;
    const flash = new SimulatedFlash();
    const { journal } = mount(flash, bytes);
    const written: number[] = [];
    let turned = 0;
    for (let week = 1; week <= 5 * 52; week++) {
      const { generation } = journal;
      for (const body of week % 52 === 0 ? [...brief, ...full] : brief)
        expect(appendRecord(journal, [body])).toBe(true);
      written.push(journal.last);
      acknowledge(journal, journal.id, journal.last);
      // The journal holds least just after the older file was erased.
      if (journal.generation === generation || week <= 104) continue;
      turned++;
      const kept = mount(flash, bytes).kept.map((text) => JSON.parse(text).seq as number);
      expect(Math.min(...kept)).toBeLessThanOrEqual(written[week - 1 - 104] + 1);
      expect(Math.max(...kept)).toBe(journal.last);
    }
    expect(turned).toBeGreaterThan(0);
  });
});

describe('a part of the controller that fails', () => {
  it('R32 a controller that hangs during a test is restarted with the supply back, a void result and the cause of the restart (IEC 62034, 4.4.7, title V1)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
    e.node.powerOff();
    e.fleet.schedule(e.node);
    // The watchdog resets the board after 5 s; long before that, the missing pulses release the relay.
    e.run(e.fleet.now + 2000);
    expect(e.node.plant.supplied).toBe(true);
    e.run(e.fleet.now + 3000);
    const watchdog = 32;
    restart(e, watchdog).run(WINDOW_MS + HOURS(2));
    const r = onlyResult(e);
    expect([r.end, verdicts(r)]).toEqual([Reason.Reset, allVoid(r, Reason.Reset)]);
    expect((e.of('start') as StartRecord[]).map((start) => start.cause)).toEqual([0, watchdog]);
    expect(e.node.plant.supplied).toBe(true);
  });

  it('R32 a program that runs on but no longer renews its hold loses the relay within 5 s; the test is void and the fault signalled (IEC 62034, 4.4.7, title V1; time CP)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
    renewsNoLease(e);
    const lost = e.fleet.now;
    runTo(e, () => e.node.plant.supplied, lost + LOST_SEC * 1000);
    e.run(lost + 60_000);
    const [r] = results(e);
    expect([r.end, verdicts(r)]).toEqual([Reason.RelayFellBack, allVoid(r, Reason.RelayFellBack)]);
    expect((e.of('fault') as EventRecord[]).map((one) => one.reason)).toEqual([Reason.RelayFellBack]);
    expect([core(e).reason, e.node.red]).toEqual([Reason.RelayFellBack, 1]);
  });

  it('R32 settings damaged in flash are not used: nothing opens until the host has sent them again (IEC 62034, 4.4.4, title V1)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(10));
    const saved = e.node.flash.load(SETTINGS_FILE);
    expect(saved).toContain('"rechargeSec":86400');
    e.node.flash.save(SETTINGS_FILE, saved.replace('"rechargeSec":86400', '"rechargeSec":3600'));
    (e.node.net as SimulatedWire).setReachable(false);
    restart(e).run(WINDOW_MS + DAY_MS);
    expect(core(e).set.revision).toBe(0);
    expect(e.node.plant.relay.drivenSince).toBe(0);
    (e.node.net as SimulatedWire).setReachable(true);
    e.run(WINDOW_MS + DAY_MS + HOURS(1));
    expect([core(e).set.revision, core(e).set.rechargeSec]).toEqual([1, 86_400]);
  });

  it('R32 a flash that accepts no record keeps the relay closed and is signalled until someone clears it (IEC 62034, 4.4.4, title V1)', () => {
    const slots = [slot(1, TestKind.Brief), slot(2, TestKind.Brief, 1)];
    const e = circuit(TestKind.Brief, { slots }).run(WINDOW_MS - 1000);
    e.node.flash.worn = true;
    e.run(WINDOW_MS + HOURS(1));
    expect(e.node.plant.relay.drivenSince).toBe(0);
    expect([core(e).reason, e.node.red]).toEqual([Reason.FlashFault, 1]);
    expect(e.state?.reason).toBe(Reason.FlashFault);
    e.node.flash.worn = false;
    e.run(WINDOW_MS + DAY_MS + HOURS(1));
    expect([core(e).reason, e.node.plant.relay.drivenSince]).toEqual([Reason.FlashFault, 0]);
    expect((e.of('fault') as EventRecord[]).map((r) => r.reason)).toContain(Reason.FlashFault);
    e.order(OrderKind.ClearFault);
    e.run(WINDOW_MS + DAY_MS + HOURS(3));
    expect([core(e).reason, e.node.red]).toEqual([Reason.None, 0]);
  });

  it('R32 power that comes and goes while the controller starts leaves the relay at rest every time (IEC 62034, 4.4.4, title V1)', () => {
    const e = toDark(circuit(TestKind.Brief));
    for (let again = 0; again < 5; again++) {
      restart(e);
      expect([e.node.plant.relay.driven, core(e).drive]).toEqual([false, 0]);
      e.run(e.fleet.now + 750);
    }
    e.run(WINDOW_MS + HOURS(1));
    expect(results(e).map((r) => r.end)).toEqual([Reason.Reset]);
    expect([e.node.plant.supplied, e.watch.violations]).toEqual([true, []]);
  });
});
