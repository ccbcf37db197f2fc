// Deliberate small breaks of the core, each a replacement in one source file. A walk that does not catch
// one of them proves less than it seems to.

export interface Mutant {
  name: string;
  /** File under firmware/core. */
  file: string;
  find: string;
  replace: string;
  /** World in which it shows; the plain one unless told. */
  world?: 'shared' | 'foreign' | 'bare';
}

export const mutants: Mutant[] = [
  {
    name: 'open without waiting for the recharge',
    file: 'permission.ts',
    find: 'if (now < s.autonomyAt) return Reason.StillRecharging;',
    replace: '',
  },
  {
    name: 'a full test needs no unbroken recharge',
    file: 'permission.ts',
    find: 'if (kind !== TestKind.Brief && unbroken < s.set.rechargeSec * 1000) return Reason.StillRecharging;',
    replace: '',
  },
  {
    name: 'start what the window cannot hold',
    file: 'permission.ts',
    find: 'return utc + needed > windowEndUtc ? Reason.WindowTooShort : Reason.None;',
    replace: 'return Reason.None;',
  },
  {
    name: 'an order may test at any hour',
    file: 'schedule.ts',
    find: '      return s.slots[at + Column.End];\n  }\n  return 0;',
    replace: '      return s.slots[at + Column.End];\n  }\n  return s.planUntil;',
  },
  {
    name: "test on another circuit's night",
    file: 'permission.ts',
    find: 'if (!isOwnNight(s, utc)) return Reason.NotOwnNight;',
    replace: '',
    world: 'foreign',
  },
  {
    name: 'open in spite of the stop input',
    file: 'permission.ts',
    find: 'if (s.in.stop) return Reason.StopInput;',
    replace: '',
  },
  {
    name: 'open in spite of an accepted hold',
    file: 'permission.ts',
    find: 'if (s.holdUntil > now) return Reason.OrderedHold;',
    replace: '',
  },
  {
    name: 'open a shared circuit on people',
    file: 'permission.ts',
    find: 'if (s.set.shared && (s.in.occupied || now - s.movedAt < s.set.emptySec * 1000))\n    return Reason.NotProvenEmpty;',
    replace: '',
    world: 'shared',
  },
  {
    name: 'open into an outage that has not settled',
    file: 'permission.ts',
    find: 'if (!hasSupply(s) || !s.in.supplyA) return Reason.Outage;\n  if (!isSupplied(s) || !s.in.supplyB) return Reason.SupplyLost;',
    replace: 'if (!hasSupply(s)) return Reason.Outage;\n  if (!isSupplied(s)) return Reason.SupplyLost;',
  },
  {
    name: 'a tester fault does not stop the tests',
    file: 'discharge.ts',
    find: '  enter(s, Phase.Fault, now);',
    replace: '  enter(s, Phase.Recharging, now);',
  },
  {
    name: 'release without letting the coil go',
    file: 'discharge.ts',
    find: 'export function release(s: Core, end: Reason, now: number): void {\n  s.drive = 0;',
    replace: 'export function release(s: Core, end: Reason, now: number): void {',
  },
  {
    name: 'restore only on pass',
    file: 'discharge.ts',
    find: '  if (end !== Reason.None) {\n    release(s, end, now);\n    return;\n  }\n  s.leaseUntil = now + Limit.LeaseMs;\n  wakeBy(s, s.sampleAt);',
    replace:
      '  if (end !== Reason.None && (end !== Reason.Complete || s.verdict[0] === 1)) {\n    release(s, end, now);\n    return;\n  }\n  s.leaseUntil = now + Limit.LeaseMs;\n  wakeBy(s, s.sampleAt);',
  },
  {
    name: 'test for twice the time',
    file: 'discharge.ts',
    find: 's.limitMs = testSec(s, kind) * 1000;',
    replace: 's.limitMs = testSec(s, kind) * 2000;',
  },
  {
    name: 'wait for a welded relay for ever',
    file: 'discharge.ts',
    find: 'if (now - s.openAt > Limit.OpenProofMs) {',
    replace: 'if (now - s.openAt > Limit.OpenCapSec * 1000) {',
  },
  {
    name: 'go on testing through the stop input',
    file: 'discharge.ts',
    find: 'if (s.in.stop) return Reason.StopInput;',
    replace: '',
  },
  {
    name: 'go on testing with the key turned',
    file: 'discharge.ts',
    find: 'if (s.in.key) return Reason.KeyHold;',
    replace: '',
  },
  {
    name: 'go on testing through an outage',
    file: 'discharge.ts',
    find: 'if (!hasSupply(s)) return Reason.Outage;',
    replace: '',
  },
  {
    name: 'go on testing with people in a shared area',
    file: 'discharge.ts',
    find: 'if (s.set.shared && s.in.occupied) return Reason.Occupied;',
    replace: '',
    world: 'shared',
  },
  {
    name: 'go on testing when the relay has fallen back',
    file: 'discharge.ts',
    find: 'if (end === Reason.None && isSupplied(s)) end = Reason.RelayFellBack;',
    replace: '',
    world: 'bare',
  },
  {
    name: 'open although the intent could not be written',
    file: 'discharge.ts',
    find: '  if (!ok) {\n    s.kind = TestKind.None;\n    raiseFault(s, Reason.FlashFault, now);\n    return;\n  }',
    replace: '',
  },
  {
    name: 'open before the intent is written',
    file: 'discharge.ts',
    find: '    s.stage = Opening.IntentWritten;\n',
    replace:
      '    s.stage = Opening.IntentWritten;\n    s.openAt = now;\n    s.drive = 1;\n    s.leaseUntil = now + Limit.LeaseMs;\n',
  },
  {
    name: 'write the result twice',
    file: 'discharge.ts',
    find: '  writeResult(s, restoreMs, now);\n  if (end !== Reason.Outage) creditBrief(s);',
    replace:
      '  writeResult(s, restoreMs, now);\n  writeResult(s, restoreMs, now);\n  if (end !== Reason.Outage) creditBrief(s);',
  },
  {
    name: 'no result when an outage ends the test',
    file: 'discharge.ts',
    find: "    // An outage or the key in series keeps it off: not the relay's fault.\n    writeResult(s, -1, now);",
    replace: '',
  },
  {
    name: 'no result for an opening that a reset cut short',
    file: 'recall.ts',
    find: 'if (!r.isOpen) return;',
    replace: 'return;',
  },
  {
    name: 'forget a tester fault at the start',
    file: 'recall.ts',
    find: "r.fault = intField(text, 'reason', 0);",
    replace: 'r.fault = Reason.None;',
  },
  {
    name: 'forget completed tests at the start',
    file: 'recall.ts',
    find: '  if (end !== Reason.Complete && end !== Reason.AllDark) return;',
    replace: '  if (end > 0) return;',
  },
  {
    name: 'a long darkness is only a dip',
    file: 'judgement.ts',
    find: 'if (now - s.dipAt[i] < Limit.DipMs) {',
    replace: 'if (now - s.dipAt[i] < 600000) {',
  },
  {
    name: 'a lamp that is dark at the end passes',
    file: 'judgement.ts',
    find: '  if (s.dipAt[i] === 0) decide(s, i, Verdict.Pass, Reason.None, required);',
    replace: '  if (required > 0) decide(s, i, Verdict.Pass, Reason.None, required);',
  },
  {
    name: 'a full test is credited like a brief one',
    file: 'discharge.ts',
    find: 'if (s.kind !== TestKind.Brief || s.suppliedAt < 0) return;\n  if (s.limitMs > s.set.briefSec * 1000) return;',
    replace: 'if (s.suppliedAt < 0) return;',
  },
  {
    name: 'a break of the supply costs no recharge',
    file: 'senses.ts',
    find: 'if (s.in.supplyB) s.autonomyAt = s.suppliedAt + s.set.rechargeSec * 1000;',
    replace: '',
  },
  {
    name: 'never notice that the supply did not come back',
    file: 'discharge.ts',
    find: '  } else if (now - s.releasedAt >= Limit.RestoreProofMs) {',
    replace: '  } else if (now - s.releasedAt >= 600000) {',
  },
  {
    name: 'never notice a supply lost at rest',
    file: 'step.ts',
    find: 'if (now - lostAt >= Limit.RestoreProofMs) {',
    replace: 'if (now - lostAt >= 600000) {',
  },
  {
    name: 'the red lamp is never lit',
    file: 'step.ts',
    find: 'const red = s.phase === Phase.Fault || isUnsupplied(s) ? 1 : 0;',
    replace: 'const red = 0;',
  },
  {
    name: 'a hold does not end the test that runs',
    file: 'step.ts',
    find: '  if (isOpen(s)) release(s, Reason.OrderedHold, now);\n',
    replace: '',
  },
  {
    name: 'a restore is answered but not carried out',
    file: 'step.ts',
    find: 'if (isOpen(s)) release(s, Reason.OrderedRestore, now);',
    replace: 'if (isOpen(s)) s.dirty = 1;',
  },
  {
    name: 'try again at once after an ordered restore',
    file: 'discharge.ts',
    find: 'if (end >= Reason.OrderedRestore && end <= Reason.OrderedHold) spendSlot(s);',
    replace: '',
  },
  {
    name: 'a lease for a minute',
    file: 'discharge.ts',
    find: '  s.leaseUntil = now + Limit.LeaseMs;\n  wakeBy(s, s.sampleAt);',
    replace: '  s.leaseUntil = now + 60000;\n  wakeBy(s, s.sampleAt);',
  },
  {
    name: 'a completed test stays due',
    file: 'schedule.ts',
    find: '    if (s.slotState[i] === SlotState.Pending) {\n      const start',
    replace: '    if (s.slotState[i] < 9) {\n      const start',
  },
];
