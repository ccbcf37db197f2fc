// An incoming plan, read a few rows at a time: a plan is long, and a turn of the loop must be short.
import { TestKind } from '../contract/codes';
import { readRow } from '../contract/fields';
import { Limit } from '../contract/limits';
import type { PlanMessage } from '../contract/messages';
import { SLOT_SEC_MAX } from '../contract/plan';
import { isBetween } from './settings';

/** Columns of a slot in memory; in the text the last two are seconds since the row before, and a length. */
export const enum Column {
  Test = 0,
  Kind = 1,
  Start = 2,
  End = 3,
  Count = 4,
}

/** A plan whose slots may be part of a longer text, from `from` to `end`: a copy of them would be large. */
export interface PlanText extends PlanMessage {
  from?: number;
  end?: number;
}

/** An incoming plan. It takes effect only when all its rows have been read and found valid. */
export interface PlanDraft {
  revision: number;
  until: number;
  /** Holds the rows not yet read, from `at` to `end`. */
  text: string;
  at: number;
  end: number;
  slots: Uint32Array;
  count: number;
}

/** Starts to read a plan; undefined when its numbers are out of bounds. */
export function draftPlan(m: PlanText): PlanDraft | undefined {
  if (!isBetween(m.revision, 1, 4294967295) || !isBetween(m.until, 1, 4294967295)) return undefined;
  if (typeof m.slots !== 'string') return undefined;
  return {
    revision: m.revision,
    until: m.until,
    text: m.slots,
    at: m.from || 0,
    end: m.end || m.slots.length,
    slots: new Uint32Array(Limit.PlanSlots * Column.Count),
    count: 0,
  };
}

/**
 * Reads up to `most` more rows of a plan. @returns false when one is malformed: the draft is then useless.
 */
export function readSlots(d: PlanDraft, most: number): boolean {
  const slots = d.slots;
  for (let left = most; left > 0 && d.at < d.end; left--) {
    if (d.count >= Limit.PlanSlots) return false;
    const at = d.count * Column.Count;
    d.at = readRow(d.text, d.at, d.end, Column.Count, slots, d.count);
    if (d.at < 0 || slots[at + Column.Kind] > TestKind.Commissioning) return false;
    if (slots[at + Column.Test] < 1 || slots[at + Column.Test] > 60000) return false;
    const length = slots[at + Column.End];
    if (length < 1 || length > SLOT_SEC_MAX) return false;
    // A row gives its start as seconds after the start of the row before, and its length.
    const start = slots[at + Column.Start] + (at > 0 ? slots[at - Column.Count + Column.Start] : 0);
    if (start > 4294967295 - SLOT_SEC_MAX) return false;
    slots[at + Column.Start] = start;
    slots[at + Column.End] = start + length;
    d.count++;
  }
  return true;
}
