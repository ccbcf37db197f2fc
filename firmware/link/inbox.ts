// The single entry point for messages from the host. Nothing is believed before its signature is checked, and
// what is believed is only a request to the core.
import { OrderKind, Phase, Reason } from '../contract/codes';
import { intField } from '../contract/fields';
import { Limit, WIRE_VERSION } from '../contract/limits';
import type { AckMessage, OrderMessage, SettingsMessage, TimeMessage } from '../contract/messages';
import { hasValidSignature, type SigningKey } from '../contract/signature';
import type { DownKind } from '../contract/topics';
import { utcAt } from '../core/clock';
import { draftPlan, type PlanDraft, type PlanText, readSlots } from '../core/draft';
import { orderRecord, queueRecord } from '../core/records';
import { adoptPlan, replacePlan, takePlan } from '../core/schedule';
import { isBetween, takeSettings } from '../core/settings';
import { type Core, isDischarging } from '../core/state';
import { takeAnswer, takeOrder } from '../core/step';
import { acknowledge, type Journal, sendAgain } from '../journal/journal';
import type { FlashPort } from '../ports';
import { beginTrace, noteMessage, type Recorder, traceAnew } from '../trace/recorder';

export const SETTINGS_FILE = 'np.set';
export const PLAN_FILE = 'np.plan';
const SLOTS = '"slots":"';

export interface Inbox {
  core: Core;
  journal: Journal;
  recorder: Recorder;
  flash: FlashPort;
  key: SigningKey;
  address: string;
  /** Highest order counter accepted; read from the journal at start-up. */
  counter: number;
  refused: number;
  refusalAt: number;
  /** As received, '' none: their signatures are checked in turns of their own. */
  unreadSettings: string;
  unreadPlan: string;
  /** Settings in force that are not in flash yet, '' none: saved in a turn of their own. */
  unsaved: string;
  /** Signed plan that is being parsed, some rows a turn; the old one stays in force meanwhile. */
  draft: PlanDraft | undefined;
  /** 1: a signed acknowledgement has arrived that the link has not yet processed. */
  hasAck: number;
  /** Pending reply to an order: its counter, -1 none, and the reason. */
  replyCounter: number;
  replyReason: Reason;
}

/**
 * Parses text whose signature was checked; undefined when it is not a JSON object. The slots of a plan stay
 * in the text: a copy would take most of a board's free memory.
 */
function parse(text: string): { v: number } | undefined {
  try {
    const from = text.indexOf(SLOTS) + SLOTS.length;
    const end = from < SLOTS.length ? -1 : text.indexOf('"', from);
    if (end < 0) {
      const value = JSON.parse(text);
      return typeof value === 'object' && value !== null ? value : undefined;
    }
    const plan: PlanText = JSON.parse(text.substring(0, from) + text.substring(end));
    plan.slots = text;
    plan.from = from;
    plan.end = end;
    return plan;
  } catch (_error) {
    return undefined;
  }
}

/** Every refusal is counted, but at most one an hour is journalled: flash must not wear out. */
function refuse(b: Inbox, counter: number, what: number, arg: number, reason: Reason, now: number): void {
  b.refused++;
  if (b.refusalAt !== 0 && now - b.refusalAt < Limit.RefusalRecordMs) return;
  b.refusalAt = now;
  noteMessage(b.recorder, b.core, 'r', now);
  queueRecord(b.core, orderRecord(b.core, 'refused', counter, what, arg, reason, '', now));
  b.core.dirty = 1;
}

/** Printable ASCII without quote and backslash: it goes into a record unchanged. */
function isPlainName(who: string): boolean {
  if (typeof who !== 'string' || who.length < 1 || who.length > 40) return false;
  for (let i = 0; i < who.length; i++) {
    const c = who.charCodeAt(i);
    if (c < 32 || c > 126 || c === 34 || c === 92) return false;
  }
  return true;
}

function orderFault(b: Inbox, m: OrderMessage, now: number): Reason {
  if (!isBetween(m.counter, 1, 4294967295) || !isBetween(m.expires, 1, 4294967295)) return Reason.Malformed;
  if (!isBetween(m.do, 0, 255) || !isBetween(m.arg, 0, 4294967295) || !isPlainName(m.who))
    return Reason.Malformed;
  if (m.counter <= b.counter) return Reason.Replayed;
  const utc = utcAt(b.core, now);
  if (utc === 0) return Reason.ClockUntrusted;
  if (m.expires < utc) return Reason.Stale;
  return m.expires - utc > Limit.OrderLifeSecMax ? Reason.OutOfBounds : Reason.None;
}

/** Carries out an order. @returns None, or why not. */
export function obey(b: Inbox, what: OrderKind, arg: number, now: number): Reason {
  if (what === OrderKind.Trace) return beginTrace(b.recorder, b.core, arg);
  if (what === OrderKind.SendAgain) {
    sendAgain(b.journal);
    return Reason.None;
  }
  return takeOrder(b.core, what, arg, now);
}

function takeOrderMessage(b: Inbox, m: OrderMessage, now: number): void {
  let reason = orderFault(b, m, now);
  if (reason === Reason.None) {
    b.counter = m.counter;
    // This call releases the relay; the record follows.
    noteMessage(b.recorder, b.core, 'o', now);
    reason = obey(b, m.do, m.arg, now);
    queueRecord(b.core, orderRecord(b.core, 'order', m.counter, m.do, m.arg, reason, m.who, now));
  } else refuse(b, isBetween(m.counter, 0, 4294967295) ? m.counter : 0, 0, 0, reason, now);
  b.replyCounter = isBetween(m.counter, 0, 4294967295) ? m.counter : 0;
  b.replyReason = reason;
}

/** Settings and plans do not change during a test. */
function isBusy(s: Core): boolean {
  return s.phase === Phase.Opening || s.phase === Phase.Restoring || isDischarging(s);
}

/** An older revision is a replay and changes nothing, for settings as for a plan. */
function takeSettingsMessage(b: Inbox, m: SettingsMessage, text: string, now: number): void {
  if (!(m.revision > b.core.set.revision)) return;
  const first = b.core.set.revision === 0;
  if (!takeSettings(b.core.set, m)) {
    refuse(b, 0, 0, 0, Reason.OutOfBounds, now);
    return;
  }
  traceAnew(b.recorder);
  b.unsaved = text;
  if (first && b.core.suppliedAt >= 0) b.core.autonomyAt = b.core.suppliedAt + m.rechargeSec * 1000;
  b.core.dirty = 1;
  b.core.wakeAt = now;
}

function takePlanMessage(b: Inbox, m: PlanText, now: number): void {
  if (!(m.revision > b.core.planRevision)) return;
  const draft = draftPlan(m);
  if (draft === undefined) refuse(b, 0, 0, 0, Reason.OutOfBounds, now);
  else b.draft = draft;
}

function readPlan(b: Inbox, draft: PlanDraft, now: number): void {
  if (draft.at < draft.end) {
    if (readSlots(draft, Limit.PlanRowsATurn)) return;
    refuse(b, 0, 0, 0, Reason.OutOfBounds, now);
  } else if (draft.slots === undefined) {
    replacePlan(b.core, draft);
    return;
  } else {
    traceAnew(b.recorder);
    adoptPlan(b.core, draft, 1, now);
    b.flash.save(PLAN_FILE, draft.text);
  }
  b.draft = undefined;
}

/** Only a fresh answer to a request of this boot may set the clock, so a replay cannot. */
function takeTimeMessage(b: Inbox, m: TimeMessage, now: number): void {
  if (m.boot !== b.core.boot || !isBetween(m.up, 0, now) || now - m.up > Limit.TimeAnswerMs) return;
  if (!isBetween(m.utc, 1500000000000, 4000000000000)) return;
  noteMessage(b.recorder, b.core, 'a' + (m.utc - m.up - b.core.utcBase) + ',' + (now - m.up), now);
  takeAnswer(b.core, m.utc, m.up, now);
}

/** Takes a message if it is signed, whatever its content. */
function judge(b: Inbox, kind: DownKind, text: string, retained: number, now: number): void {
  if (!hasValidSignature(b.key, kind, b.address, text)) {
    refuse(b, 0, 0, 0, Reason.BadSignature, now);
    return;
  }
  if (retained && kind === 'order') {
    refuse(b, 0, 0, 0, Reason.Retained, now);
    return;
  }
  const m = parse(text);
  if (m === undefined) {
    refuse(b, 0, 0, 0, Reason.Malformed, now);
  } else if (m.v !== WIRE_VERSION) {
    refuse(b, 0, 0, 0, Reason.WrongVersion, now);
    b.replyCounter = intField(text, 'counter', 0);
    b.replyReason = Reason.WrongVersion;
  } else if (kind === 'order') takeOrderMessage(b, m as OrderMessage, now);
  else if (kind === 'settings') takeSettingsMessage(b, m as SettingsMessage, text, now);
  else if (kind === 'plan') takePlanMessage(b, m as PlanText, now);
  else if (kind === 'time') takeTimeMessage(b, m as TimeMessage, now);
  else if (kind === 'ack') {
    const ack = m as AckMessage;
    if (!isBetween(ack.through, 0, 4294967295)) return;
    acknowledge(b.journal, ack.journal, ack.through);
    b.hasAck = 1;
  }
}

/** Whether settings or a plan still need processing. */
export function hasUnread(b: Inbox): boolean {
  return b.unsaved !== '' || b.unreadSettings !== '' || b.unreadPlan !== '' || b.draft !== undefined;
}

/**
 * The next piece of work on settings or a plan: check a signature, parse some rows, or finally save the plan
 * and put it into force. If a test has begun meanwhile the work is dropped: the host sends them again.
 */
export function readOn(b: Inbox, now: number): void {
  if (b.unsaved !== '') {
    b.flash.save(SETTINGS_FILE, b.unsaved);
    b.unsaved = '';
    return;
  }
  const settings = b.unreadSettings;
  const plan = b.unreadPlan;
  b.unreadSettings = '';
  if (isBusy(b.core)) {
    b.unreadPlan = '';
    b.draft = undefined;
  } else if (settings !== '') judge(b, 'settings', settings, 0, now);
  else if (plan !== '') {
    b.unreadPlan = '';
    judge(b, 'plan', plan, 0, now);
  } else readPlan(b, b.draft as PlanDraft, now);
}

/**
 * A message from the broker, whatever its content. Never throws. Settings and plans are ignored during a test
 * and while the last of their kind is being processed: checking takes long, and a second plan takes memory.
 * The host sends them again.
 */
export function receive(b: Inbox, kind: DownKind, text: string, retained: number, now: number): void {
  if (kind === 'settings') {
    if (!isBusy(b.core) && b.unreadSettings === '' && b.unsaved === '') b.unreadSettings = text;
  } else if (kind === 'plan') {
    if (!isBusy(b.core) && b.unreadPlan === '' && b.draft === undefined) b.unreadPlan = text;
  } else judge(b, kind, text, retained, now);
}

/**
 * Loads the settings and plan found in flash at start-up; a damaged one is ignored and the host sends it
 * again.
 */
export function loadSaved(b: Inbox, now: number): void {
  const settings = b.flash.load(SETTINGS_FILE);
  const plan = b.flash.load(PLAN_FILE);
  if (settings !== '' && hasValidSignature(b.key, 'settings', b.address, settings)) {
    const m = parse(settings);
    if (m !== undefined && m.v === WIRE_VERSION) takeSettings(b.core.set, m as SettingsMessage);
  }
  if (plan !== '' && hasValidSignature(b.key, 'plan', b.address, plan)) {
    const p = parse(plan);
    if (p !== undefined && p.v === WIRE_VERSION) takePlan(b.core, p as PlanText, 0, now);
  }
}
