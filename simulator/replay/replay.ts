// Runs the shipped controller again on the inputs in a trace, and compares its decisions with the records it
// wrote at the time.
import { type Phase, Reason, SelfTest } from '../../firmware/contract/codes';
import { intField } from '../../firmware/contract/fields';
import { Limit } from '../../firmware/contract/limits';
import { type Controller, coreTurn, newController } from '../../firmware/controller';
import { chipSet, compareChip } from '../../firmware/core/chip';
import { monotonicOf, utcAt } from '../../firmware/core/clock';
import { type Inputs, isUnheard, Read } from '../../firmware/core/inputs';
import { orderRecord, queueRecord } from '../../firmware/core/records';
import type { Core } from '../../firmware/core/state';
import { takeAnswer, takeSelfTest } from '../../firmware/core/step';
import type { Journal } from '../../firmware/journal/journal';
import { obey } from '../../firmware/link/inbox';
import type { BoardPort } from '../../firmware/ports';
import { Did, noteMessage, Stage, takeDown } from '../../firmware/trace/recorder';
import { sha256 } from '../digest';
import { SimulatedFlash } from '../flash';
import {
  bodyOf,
  type Given,
  type Known,
  OWN_MARKS,
  type OwnGiven,
  type Trace,
  type TurnGiven,
} from './trace';

/** A decision of the replayed core. */
export interface Decision {
  /** UTC second, and ms since the trace began. */
  utc: number;
  ms: number;
  what:
    | { kind: 'phase'; phase: Phase }
    | { kind: 'relay'; open: boolean }
    | { kind: 'waiting'; reason: Reason }
    | { kind: 'record'; body: string };
}

/** The first difference from the original run. */
export interface Difference {
  utc: number;
  ms: number;
  then: string;
  now: string;
}

export interface Replayed {
  decisions: Decision[];
  /** Records that came out the same. */
  same: number;
  difference: Difference | undefined;
}

/** Bytes of each journal file of the replayed controller: no trace fills one. */
const JOURNAL_BYTES = 1_000_000;

function didText(stepped: boolean, read: boolean, wrote: boolean): string {
  const did = [stepped ? 'took a step' : '', read ? 'read the lamps' : '', wrote ? 'wrote a record' : ''];
  return did.filter(Boolean).join(', ') || 'did nothing';
}

/** Writes numbers into an object's numeric fields, in the order in which it was made. */
function fillNumbers(of: object, numbers: number[]): void {
  const fields = of as { [name: string]: unknown };
  const names = Object.keys(fields).filter((name) => typeof fields[name] === 'number');
  names.forEach((name, i) => {
    fields[name] = numbers[i];
  });
}

class Stand {
  readonly flash = new SimulatedFlash();
  readonly written: string[] = [];
  now = 0;
  private given: TurnGiven | undefined;
  readonly controller: Controller;

  constructor(private readonly trace: Trace) {
    this.controller = newController(this.board(), {
      address: 'replay/controller',
      secret: 'replay',
      journalBytes: JOURNAL_BYTES,
      link: { user: '', password: '', keepAliveSec: 0, heartbeatSec: 0, liveMs: 0, jitter: 0 },
    });
    this.know(trace.known);
    this.written.length = 0;
  }

  private board(): BoardPort {
    const append = this.flash.append.bind(this.flash);
    this.flash.append = (file, offset, head, text) => {
      if (this.given?.inVain) return false;
      this.written.push(bodyOf(text));
      return append(file, offset, head, text);
    };
    return {
      ...{ now: () => this.now, linkNow: () => this.now, drive: () => {}, red: () => {}, sha256 },
      ...{ entropy: () => 0, bootCause: () => 0, flash: this.flash },
      // What chip and self-tests gave is in the trace, as messages.
      ...{ chipTime: () => -1, setChipTime: () => 0, selfTest: () => SelfTest.None },
      readInputs: (inputs: Inputs) => this.readInputs(inputs),
      readLamps: (inputs: Inputs) => {
        const lamps = this.given?.lamps;
        if (!lamps) return Read.NotYet;
        inputs.lamp.set(lamps);
        return lamps.some(isUnheard) ? Read.Some : Read.All;
      },
      net: { stops: 0, isReady: () => true, open: () => {}, write: () => {}, close: () => {} },
    };
  }

  /** The controller as it was when the trace began. */
  private know(known: Known): void {
    const { core, recorder } = this.controller;
    fillNumbers(core.set, known.settings);
    core.set.lamps.set(known.lamps);
    core.out = [];
    core.slots = new Uint32Array(known.slots);
    core.slotState.set(known.slotState);
    core.raw.set(known.raw);
    core.level.set(known.level);
    core.rawAt.set(known.rawAt);
    fillNumbers(core, known.core);
    recorder.left = this.trace.left;
    recorder.part = this.trace.part;
    recorder.text = `${this.trace.firstToken} `;
    recorder.stage = Stage.Events;
    recorder.at = known.now;
    recorder.lamp = new Int16Array(Limit.Luminaires);
    this.now = known.now;
  }

  private readInputs(inputs: Inputs): void {
    const bits = this.given?.bits;
    if (bits === undefined) return;
    inputs.supplyA = bits & 1;
    inputs.supplyB = (bits >> 1) & 1;
    inputs.aux = (bits >> 2) & 1;
    inputs.occupied = (bits >> 3) & 1;
    inputs.stop = (bits >> 4) & 1;
    inputs.key = (bits >> 5) & 1;
    inputs.charge = bits >> 7;
  }

  /** Runs one turn with its original inputs. @returns what it did differently */
  turn(given: TurnGiven): Pick<Difference, 'then' | 'now'> | undefined {
    this.given = given;
    this.leaveRoom(this.controller.journal, ((given.bits ?? 64) & 64) !== 0);
    coreTurn(this.controller);
    const then = didText(given.bits !== undefined, given.lamps !== undefined, given.wrote || given.inVain);
    const { did } = this.controller.recorder;
    const now = didText((did & Did.Step) > 0, (did & Did.Reading) > 0, (did & (Did.Write | Did.InVain)) > 0);
    return then === now ? undefined : { then, now };
  }

  /** All the core learns of the journal is whether it has room for a test. */
  private leaveRoom(j: Journal, isThere: boolean): void {
    j.olderLast = isThere ? 0 : Number.POSITIVE_INFINITY;
    j.fileBytes = isThere ? JOURNAL_BYTES : j.offset + Limit.JournalReserveBytes - 1;
  }

  /**
   * The turn after the last one noted, in which the trace ended. @returns what is then waiting to be written
   */
  end(): string[] {
    const { core, recorder, journal } = this.controller;
    const { bodies } = this.trace;
    const utc = intField(bodies[bodies.length - 1], 'utc', 0);
    takeDown(recorder, core, journal, core.clockSet ? monotonicOf(core, utc) : this.now);
    return core.out.slice(0, core.outCount);
  }

  /** What clock chip or self-tests gave. */
  private hearOwn(what: OwnGiven['what'], value: number): void {
    const { core, recorder } = this.controller;
    const { now } = this;
    noteMessage(recorder, core, OWN_MARKS[what] + value, now);
    if (what === 'chip') compareChip(core, utcAt(core, now) + value, now);
    else if (what === 'chip set') chipSet(core, value, now);
    else takeSelfTest(core, value, now);
  }

  /** A message from the host. */
  hear(given: Exclude<Given, TurnGiven>): undefined {
    const { core, inbox, recorder } = this.controller;
    const { now } = this;
    if (given.what === 'answer') {
      noteMessage(recorder, core, `a${given.off},${given.age}`, now);
      const up = now - given.age;
      takeAnswer(core, given.off + core.utcBase + up, up, now);
      return;
    }
    if ('value' in given) {
      this.hearOwn(given.what, given.value);
      return;
    }
    const { counter, do: what, arg, who } = given.record;
    const isOrder = given.what === 'order';
    noteMessage(recorder, core, isOrder ? 'o' : 'r', now);
    const reason: Reason = isOrder ? obey(inbox, what, arg, now) : given.record.reason;
    queueRecord(core, orderRecord(core, isOrder ? 'order' : 'refused', counter, what, arg, reason, who, now));
  }
}

class Comparison implements Replayed {
  readonly decisions: Decision[] = [];
  same = 0;
  difference: Difference | undefined;
  private readonly stand: Stand;
  private seen: Pick<Core, 'phase' | 'drive' | 'waiting'>;

  constructor(private readonly trace: Trace) {
    this.stand = new Stand(trace);
    this.seen = { ...this.stand.controller.core };
  }

  private at(): { utc: number; ms: number } {
    const { now, controller } = this.stand;
    return { utc: utcAt(controller.core, now), ms: now - this.trace.known.now };
  }

  private note(what: Decision['what']): void {
    this.decisions.push({ ...this.at(), what });
  }

  private noteChanges(): void {
    const { phase, drive, waiting } = this.stand.controller.core;
    if (phase !== this.seen.phase) this.note({ kind: 'phase', phase });
    if (drive !== this.seen.drive) this.note({ kind: 'relay', open: drive === 1 });
    if (waiting !== this.seen.waiting && waiting !== Reason.None)
      this.note({ kind: 'waiting', reason: waiting });
    this.seen = { phase, drive, waiting };
  }

  private differ(then: string, now: string): void {
    this.difference ??= { ...this.at(), then, now };
  }

  private compare(body: string): void {
    this.note({ kind: 'record', body });
    const then = this.trace.bodies[this.same];
    if (body === then) this.same++;
    else this.differ(then ?? 'no record', body);
  }

  run(): this {
    for (const given of this.trace.given) {
      this.stand.now = given.ms;
      const other = given.what === 'turn' ? this.stand.turn(given) : this.stand.hear(given);
      this.noteChanges();
      for (const body of this.stand.written.splice(0)) this.compare(body);
      if (other) this.differ(other.then, other.now);
      if (this.difference) return this;
    }
    if (this.trace.isWhole) for (const body of this.stand.end()) this.compare(body);
    return this;
  }
}

/** Runs a trace again. The records the controller wrote at the time must come out byte for byte. */
export function replay(trace: Trace): Replayed {
  return new Comparison(trace).run();
}
