// Questions to the host. A failure is an Error with one plain sentence.

import type { BuildingsView } from '../../api/buildings';
import type { DefectsView, DefectView } from '../../api/defects';
import type { DutiesView, InspectionOutcome, InspectionRequest } from '../../api/duties';
import { ENTRY_HEADER } from '../../api/inspectionLimits';
import type { LabelsRequest } from '../../api/labels';
import { type PackedStatus, unpackStatus } from '../../api/packed';
import type { SiteChangeRequest, SiteFileView, SiteOutcome } from '../../api/site';
import type {
  BuildingView,
  LogbookView,
  LuminaireHistory,
  OrderOutcome,
  OrderRequest,
  PlanView,
  StatusView,
  WithdrawalRequest,
} from '../../api/views';
import { t } from '../tongues/tongue';
import type { ReportWish } from '../words/report';
import { here } from './base';

const PATIENCE_MS = 15_000;
/** A report of a large building takes minutes. */
const REPORT_PATIENCE_MS = 600_000;

let signedOut: () => void = () => {};

/** Has `then` called whenever the host no longer knows who asks. */
export function whenSignedOut(then: () => void): void {
  signedOut = then;
}

/** One question. @throws Error with one sentence */
export async function ask<T>(path: string, init: RequestInit = {}): Promise<T> {
  let answer: Response;
  try {
    answer = await fetch(here(path), { ...init, signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch {
    throw new Error(t.host.silent);
  }
  if (answer.status === 401) {
    signedOut();
    throw new Error(t.signIn.ended);
  }
  if (answer.status === 404) throw new Error(t.host.nothingHere);
  if (!answer.ok) throw new Error(t.host.failed(answer.status));
  return (await answer.json()) as T;
}

/** All buildings of the host, the worst first. */
export function askBuildings(): Promise<BuildingsView> {
  return ask('/api/overview');
}

/** The building as configured. */
export function askBuilding(): Promise<BuildingView> {
  return ask('/api/building');
}

/** The present state of everything. */
export async function askStatus(): Promise<StatusView> {
  return unpackStatus(await ask<PackedStatus>('/api/status/packed'));
}

/** The current plan, night by night. */
export function askPlan(): Promise<PlanView> {
  return ask('/api/plan');
}

/** So many open defects, null for all, and closed ones after the newest `skip`. */
export function askDefects(open: number | null, skip: number, limit: number): Promise<DefectsView> {
  const query = new URLSearchParams({ closed: String(skip), limit: String(limit) });
  if (open !== null) query.set('open', String(open));
  return ask(`/api/defects?${query}`);
}

/** Defects of one luminaire that are not closed. */
export function askDefectsOf(id: string): Promise<DefectView[]> {
  return ask(`/api/luminaires/${encodeURIComponent(id)}/defects`);
}

/** Results and curves of one luminaire. */
export function askLuminaire(id: string): Promise<LuminaireHistory> {
  return ask(`/api/luminaires/${encodeURIComponent(id)}`);
}

export interface LogQuestion {
  circuit: string;
  kind: string;
  /** Only entries older than this; 0 for the newest. */
  before: number;
  limit: number;
}

/** One page of the log book, newest first. */
export function askLogbook(q: LogQuestion): Promise<LogbookView> {
  const query = new URLSearchParams({ limit: String(q.limit) });
  if (q.before > 0) query.set('before', String(q.before));
  if (q.circuit !== '') query.set('circuit', q.circuit);
  if (q.kind !== '') query.set('kind', q.kind);
  return ask(`/api/logbook?${query}`);
}

/** Sends what somebody decided. @param silence what to say if no answer comes */
export async function post<T extends OrderOutcome>(
  path: string,
  body: object,
  silence = t.signIn.noAnswer,
): Promise<T> {
  try {
    const answer = await fetch(here(path), {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    const hasEnded = answer.status === 401;
    if (hasEnded) signedOut();
    const outcome = (await answer.json()) as T;
    if (typeof outcome.answer === 'string') return hasEnded ? { ...outcome, signedOut: true } : outcome;
    throw new Error('unexpected answer');
  } catch {
    return { ok: false, unanswered: true, answer: silence } as T;
  }
}

/** The site file as data. */
export function askSite(): Promise<SiteFileView> {
  return ask('/api/site');
}

/** Saves changes of the site. Never throws: a failure is an answer too. */
export async function changeSite(request: SiteChangeRequest): Promise<SiteOutcome> {
  try {
    const answer = await fetch(here('/api/site'), {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(request),
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.status === 401) signedOut();
    const outcome = (await answer.json()) as SiteOutcome;
    if (typeof outcome.answer === 'string') return { ...{ mistakes: [], data: null }, ...outcome };
    throw new Error('unexpected answer');
  } catch {
    return { ok: false, answer: t.placing.unanswered, mistakes: [], data: null };
  }
}

/** Sends an order to the controller of one circuit. Never throws: a failure is an answer too. */
export function giveOrder(circuit: string, order: OrderRequest): Promise<OrderOutcome> {
  return post(`/api/circuits/${encodeURIComponent(circuit)}/orders`, order, t.host.noAnswer);
}

/** Withdraws an entry of the log book. Never throws: a failure is an answer too. */
export function withdraw(wish: WithdrawalRequest): Promise<OrderOutcome> {
  return post('/api/withdrawals', wish, t.log.withdraw.noAnswer);
}

/** What people must look at, and what they found. */
export function askDuties(): Promise<DutiesView> {
  return ask('/api/duties');
}

/**
 * Sends what somebody has looked at. An answer that cannot be read has no id.
 * @param base address of the host; that of the page if not given
 * @throws Error if there was no answer
 */
export async function sendInspection(request: InspectionRequest, base = ''): Promise<InspectionOutcome> {
  const answer = await fetch(`${base}${here('/api/inspections')}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', [ENTRY_HEADER]: request.id },
    body: JSON.stringify(request),
    signal: AbortSignal.timeout(PATIENCE_MS),
  });
  // It stays on this device until somebody who may enter it has signed in.
  if (answer.status === 401) {
    signedOut();
    return { ok: false, id: request.id, refused: false, answer: t.signIn.waits };
  }
  const text = await answer.text();
  try {
    return JSON.parse(text) as InspectionOutcome;
  } catch {
    return { ok: false, id: '', refused: false, answer: '' };
  }
}

/** Number of the newest entry of the log book, 0 if it has none. */
export async function newestEntry(): Promise<number> {
  const { entries } = await askLogbook({ circuit: '', kind: '', before: 0, limit: 1 });
  return entries[0]?.entry ?? 0;
}

/** A report, or labels, as the host makes them. @throws Error with one sentence */
export async function fetchFile(wish: ReportWish | LabelsRequest): Promise<Blob> {
  let answer: Response;
  try {
    answer = await fetch(here('from' in wish ? '/api/report' : '/api/labels'), {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(wish),
      signal: AbortSignal.timeout(REPORT_PATIENCE_MS),
    });
    if (answer.ok) return await answer.blob();
    if (answer.status === 401) signedOut();
  } catch {
    throw new Error(t.host.noReport);
  }
  const told = (await answer.json().catch(() => ({}))) as { answer?: string };
  throw new Error(told.answer ?? t.host.reportFailed(answer.status));
}
