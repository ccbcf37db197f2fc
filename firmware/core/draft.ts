// An incoming plan, read a few rows at a time: a plan is long, and a turn of the loop must be short.
import { TestKind } from '../contract/codes';
import { readRow } from '../contract/fields';
import { Limit } from '../contract/limits';
import type { PlanMessage } from '../contract/messages';
import { SLOT_SEC_MAX } from '../contract/plan';
import { isBetween } from './settings';

/** Columns of a slot in memory. */
export const enum Column {
  /** Number of its test times 8, and its kind. */
  Which = 0,
  Start = 1,
  End = 2,
  Count = 3,
}

/** Columns of a row in the text (contract/plan.ts). */
const enum Given {
  Test = 0,
  Kind = 1,
  Wait = 2,
  Length = 3,
  Count = 4,
}

/** A plan whose slots may be part of a longer text, from `from` to `end`: a copy of them would be large. */
export interface PlanText extends PlanMessage {
  from?: number;
  end?: number;
}

/**
 * An incoming plan. All its rows are read twice: first to find them valid, then into the place of the plan in
 * force. A second table of slots would take a board a hundred variables.
 */
export interface PlanDraft {
  revision: number;
  until: number;
  /** Holds the rows not yet read, from `at` to `end`; the first is at `from`. */
  text: string;
  from: number;
  at: number;
  end: number;
  /** Where valid rows go; undefined until all are found valid. */
  slots: Uint32Array | undefined;
  /** The row being read. */
  row: Uint32Array;
  /** Rows read so far, and start of the last one, UTC s. */
  count: number;
  start: number;
}

/** Starts to read a plan; undefined when its numbers are out of bounds. */
export function draftPlan(m: PlanText): PlanDraft | undefined {
  if (!isBetween(m.revision, 1, 4294967295) || !isBetween(m.until, 1, 4294967295)) return undefined;
  if (typeof m.slots !== 'string') return undefined;
  const from = m.from || 0;
  return {
    revision: m.revision,
    until: m.until,
    text: m.slots,
    from: from,
    at: from,
    end: m.end || m.slots.length,
    slots: undefined,
    row: new Uint32Array(Given.Count),
    count: 0,
    start: 0,
  };
}

/** From here on the rows of a draft, all found valid, are read into `slots`. */
export function fillSlots(d: PlanDraft, slots: Uint32Array): void {
  d.slots = slots;
  d.at = d.from;
  d.count = 0;
  d.start = 0;
}

/**
 * Reads up to `most` more rows of a plan. @returns false when one is malformed: the draft is then useless.
 */
export function readSlots(d: PlanDraft, most: number): boolean {
  const row = d.row;
  for (let left = most; left > 0 && d.at < d.end; left--) {
    if (d.count >= Limit.PlanSlots) return false;
    d.at = readRow(d.text, d.at, d.end, Given.Count, row, 0);
    const test = row[Given.Test];
    const length = row[Given.Length];
    if (d.at < 0 || row[Given.Kind] > TestKind.Commissioning || test < 1 || test > 60000) return false;
    if (length < 1 || length > SLOT_SEC_MAX) return false;
    // A row gives its start as seconds after the start of the row before, and its length.
    d.start += row[Given.Wait];
    if (d.start > 4294967295 - SLOT_SEC_MAX) return false;
    if (d.slots) {
      const at = d.count * Column.Count;
      d.slots[at] = test * 8 + row[Given.Kind];
      d.slots[at + Column.Start] = d.start;
      d.slots[at + Column.End] = d.start + length;
    }
    d.count++;
  }
  return true;
}
