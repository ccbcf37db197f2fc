import { expect, it } from 'vitest';
import { OrderKind, Phase, Reason } from '../../../firmware/contract/codes';
import type { WorldOptions } from '../../../simulator/explore/small';
import { type Subject, subject } from '../../../simulator/explore/subject';
import { walk } from '../../../simulator/explore/walk';

const plain: WorldOptions = {
  plan: 'both',
  disturbances: 1,
  shared: false,
  foreign: false,
  bare: false,
  theme: 'all',
  pauseSec: 0,
};

it('walks the small world to its end without a broken claim, and reaches every phase', () => {
  const report = walk(subject, plain, 20);
  expect(report).toMatchObject({ broken: '', cut: false });
  expect([...report.phases].sort((a, b) => a - b)).toEqual([
    ...[Phase.Starting, Phase.Charged, Phase.Recharging, Phase.Opening, Phase.Brief, Phase.Full],
    ...[Phase.Restoring, Phase.Outage, Phase.Held, Phase.Fault],
  ]);
  for (const end of [
    ...[Reason.Complete, Reason.Outage, Reason.OrderedRestore, Reason.StopInput, Reason.KeyHold],
    ...[Reason.OrderedHold, Reason.RelayStuckClosed, Reason.RelayFellBack, Reason.AuxDisagrees],
  ])
    expect(report.ends, `end ${end}`).toContain(end);
});

it('ends the tests of a shared circuit when someone comes in', () => {
  const report = walk(subject, { ...plain, shared: true }, 20);
  expect(report).toMatchObject({ broken: '', cut: false });
  expect(report.ends).toContain(Reason.Occupied);
});

it("never opens on another circuit's nights", () => {
  const report = walk(subject, { ...plain, foreign: true }, 20);
  expect(report.broken).toBe('');
  expect(report.phases).not.toContain(Phase.Brief);
  expect(report.phases).not.toContain(Phase.Full);
});

it('says so when its table is too small to hold every world', () => {
  expect(walk(subject, plain, 10).cut).toBe(true);
});

it('names the claim and the way to it when the core is broken', () => {
  const deaf: Subject = {
    ...subject,
    takeOrder: (s, what, arg, now) =>
      what === OrderKind.Restore ? Reason.None : subject.takeOrder(s, what, arg, now),
  };
  const report = walk(deaf, plain, 20);
  expect(report.broken).toMatch(/accepted restore|ordered off/);
  expect(report.path.join('\n')).toMatch(/restore/);
});
