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
  /** 1: all rows are valid. */
  isValid: number;
  /** Where rows are read: one that is overwritten each time, then the slots of the plan in force. */
  rows: Uint32Array;
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
    isValid: 0,
    rows: new Uint32Array(Column.Count),
    count: 0,
    start: 0,
  };
}

/** From here on the rows of a draft, all found valid, are read into `slots`. */
export function fillSlots(d: PlanDraft, slots: Uint32Array): void {
  d.isValid = 1;
  d.rows = slots;
  d.at = d.from;
  d.count = 0;
  d.start = 0;
}

/**
 * Reads up to `most` more rows of a plan. @returns false when one is malformed: the draft is then useless.
 */
export function readSlots(d: PlanDraft, most: number): boolean {
  const rows = d.rows;
  for (let left = most; left > 0 && d.at < d.end; left--) {
    if (d.count >= Limit.PlanSlots) return false;
    const row = d.isValid ? d.count : 0;
    const at = row * Column.Count;
    d.at = readRow(d.text, d.at, d.end, Column.Count, rows, row);
    if (d.at < 0 || rows[at + Column.Kind] > TestKind.Commissioning) return false;
    if (rows[at + Column.Test] < 1 || rows[at + Column.Test] > 60000) return false;
    const length = rows[at + Column.End];
    if (length < 1 || length > SLOT_SEC_MAX) return false;
    // A row gives its start as seconds after the start of the row before, and its length.
    d.start += rows[at + Column.Start];
    if (d.start > 4294967295 - SLOT_SEC_MAX) return false;
    rows[at + Column.Start] = d.start;
    rows[at + Column.End] = d.start + length;
    d.count++;
  }
  return true;
}
