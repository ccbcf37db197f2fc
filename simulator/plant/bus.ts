// Current modules on a two-wire bus, as the driver of a real one gives them to the core
// (firmware/board/lamps/modbus.ts): one request at a time, each with its time on the line, a sweep of all modules
// for a reading, and in place of a current what is wrong with a module. A test compares the two. A module's value is
// as old as the turn before, because it measures by itself.
import { ANSWER_BYTES, BusTime, exchangeMs, silenceMs } from '../../firmware/board/lamps/timing';
import { Reason } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { Read } from '../../firmware/core/inputs';

import { next32, nextUnit, type Random } from '../random';
import { type CircuitPlant, readLampSensors } from './circuit';
import type { ModuleState } from './luminaireFaults';
import { inForce, isIn } from './spans';

/** From the end of a request to the answer, and the program's own time, ms (common practice, no source). */
export const REACTION_MS = 30;
/** Damaged answers in a row, right at their beginning, that count as those of two modules: as in the driver. */
const CLASH_TIMES = 4;
/** Bytes at the beginning of an answer that tell whose it is. */
const HEAD_BYTES = 3;

const SILENT = Limit.Unheard;
const SLOW = Limit.Unheard + (Reason.SensorSlow - Reason.SensorSilent);
const CLASH = Limit.Unheard + (Reason.SensorClash - Reason.SensorSilent);
const GARBLED = Limit.Unheard + (Reason.SensorGarbled - Reason.SensorSilent);

export interface BusSpec {
  /** Bits per second. */
  baud: number;
}

function isLost(value: number): boolean {
  return value <= Limit.UnheardLast;
}

/** What the controller's driver keeps in memory, and the line. Times in the board's ms. */
export class LampBus {
  /** Currents as the modules last measured them. */
  private readonly measured = new Int16Array(Limit.Luminaires);
  /** Reading of each lamp, or what is wrong with its module. */
  private readonly value = new Int16Array(Limit.Luminaires);
  private readonly odd = new Uint8Array(Limit.Luminaires);
  private readonly heardAt = new Float64Array(Limit.Luminaires);
  private isSweeping = false;
  private isDone = false;
  private count = 0;
  private lamp = 0;
  private isRetry = false;
  private startedAt = 0;
  private endedAt = 0;
  /** When the line is free again. */
  private overAt = 0;

  constructor(
    private readonly spec: BusSpec,
    private readonly plant: CircuitPlant,
    private readonly random: Random,
  ) {}

  /**
   * As `readLamps` of a board (firmware/ports.ts).
   * @param now board's ms, @param at the same instant, simulated ms
   */
  read(into: Int16Array, count: number, since: number, now: number, at: number, isNoisy: boolean): Read {
    this.catchUp(now, at);
    const isUseful = this.startedAt >= since || this.isSweeping;
    const isAtWork = this.isSweeping || this.isDone;
    if (!isAtWork || !isUseful || now - this.startedAt > BusTime.Stuck) this.begin(now, at, count, isNoisy);
    else readLampSensors(this.plant, at, isNoisy, this.measured, count);
    if (!this.isDone || this.startedAt < since) return Read.NotYet;
    this.isDone = false;
    into.set(this.value.subarray(0, count));
    for (let i = 0; i < count; i++) if (isLost(this.value[i])) return Read.Some;
    return Read.All;
  }

  private begin(now: number, at: number, count: number, isNoisy: boolean): void {
    readLampSensors(this.plant, at, isNoisy, this.measured, count);
    this.count = count;
    this.startedAt = now;
    // A pause since the last sweep: it was another test.
    if (now - this.endedAt > Limit.SampleGapMs) this.heardAt.fill(now);
    this.isSweeping = true;
    this.isDone = false;
    this.isRetry = false;
    this.lamp = -1;
    this.overAt = now;
    this.catchUp(now, at);
  }

  /** Takes every exchange that is over by now. */
  private catchUp(now: number, at: number): void {
    while (this.isSweeping && this.overAt <= now) this.askNext(at - (now - this.overAt));
  }

  private isToBeAsked(i: number): boolean {
    if (this.startedAt - this.heardAt[i] > Limit.SampleGapMs) return false;
    if (!this.isRetry) return true;
    const isWorth = this.value[i] === SILENT || this.value[i] === GARBLED;
    return isWorth && this.overAt - this.startedAt < BusTime.Extras;
  }

  /** @param at simulated ms at which the line is free */
  private askNext(at: number): void {
    for (;;) {
      this.lamp++;
      if (this.lamp < this.count) {
        if (!this.isToBeAsked(this.lamp)) continue;
        this.overAt += this.exchange(this.lamp, at);
        return;
      }
      if (this.isRetry) break;
      this.isRetry = true;
      this.lamp = -1;
    }
    this.isSweeping = false;
    this.isDone = true;
    this.endedAt = this.overAt;
  }

  /** One request and what follows it. @returns how long that takes, ms */
  private exchange(i: number, at: number): number {
    const { plant } = this;
    const module = plant.luminaires[i].state.module;
    if (isIn(plant.busCuts, at) || module?.kind === 'module silent') return this.missed(i, undefined);
    const noise = inForce(plant.busNoise, at);
    if (noise && nextUnit(this.random) < noise.share) return this.damaged(i, this.hitsHead());
    if (module?.kind === 'module clash') return this.damaged(i, false);
    if (module?.kind === 'module slow' && module.lateMs > BusTime.Answer) return this.missed(i, module);
    const afterMs = module?.kind === 'module slow' ? module.lateMs : 0;
    return this.heard(
      i,
      Math.max(afterMs, exchangeMs(this.spec.baud, REACTION_MS) - silenceMs(this.spec.baud)),
    );
  }

  private heard(i: number, afterMs: number): number {
    const ma = this.measured[i];
    this.value[i] = Math.abs(ma) > Limit.ModuleMost ? Limit.RailHigh : ma;
    this.odd[i] = 0;
    this.heardAt[i] = this.overAt + afterMs;
    return Math.ceil(afterMs + silenceMs(this.spec.baud)) + 1;
  }

  /** No answer in time; a module that was missed before is listened to for longer. */
  private missed(i: number, module: ModuleState | undefined): number {
    const wasLost = isLost(this.value[i]);
    const isLate = module?.kind === 'module slow' && module.lateMs <= BusTime.Answer + BusTime.Late;
    // A late answer also shows in the exchange with the next module.
    this.value[i] = isLate || this.value[i] === SLOW ? SLOW : SILENT;
    if (!wasLost || this.overAt + BusTime.Answer - this.startedAt >= BusTime.Extras) return BusTime.Answer;
    return isLate ? module.lateMs + Math.ceil(silenceMs(this.spec.baud)) + 1 : BusTime.Answer + BusTime.Late;
  }

  private hitsHead(): boolean {
    return next32(this.random) % ANSWER_BYTES < HEAD_BYTES;
  }

  private damaged(i: number, isHeadHit: boolean): number {
    this.odd[i] = isHeadHit ? 0 : Math.min(this.odd[i] + 1, CLASH_TIMES);
    this.value[i] = this.odd[i] < CLASH_TIMES ? GARBLED : CLASH;
    return BusTime.Answer;
  }
}
