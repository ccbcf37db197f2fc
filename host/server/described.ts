// What each route takes and answers, for the document other programs read: docs/integrators.md. A route that is new
// stands here too; the requests are the schemas they are read by.
import type { z } from 'zod';
import { accountChange, ending, proving, renewal, signIn, tokenChange, withCode } from './accountRoutes';
import { inspection } from './dutyRoutes';
import { order, traceOrder } from './orderQuestion';
import { passkeyMade, passkeyOffered, passkeyRemoved, passkeyShown } from './passkeyRoutes';
import { labelsQuestion, reportQuestion } from './reportRoutes';
import { defectsQuestion, logQuestion } from './routes';
import { siteRequest } from './siteRoutes';
import { withdrawal } from './withdrawalRoutes';

export interface Described {
  /** One sentence without its full stop. */
  what: string;
  query?: z.ZodObject;
  body?: z.ZodType;
  /** Name of the type in host/api of what is answered as JSON, and with which statuses beside 200. */
  json?: string;
  also?: readonly number[];
  /** True if it is a list of them. */
  isList?: boolean;
  /** Content types where it is no JSON. */
  file?: readonly string[];
  /** Types in host/api of the events of a stream, by the name of the event. */
  events?: Record<string, string>;
}

const outcome = { json: 'AccountOutcome', also: [400, 429] } as const;
const PDF = 'application/pdf';

/** Every route of the page by method and pattern, as in `RIGHTS`. */
export const DESCRIBED: Readonly<Record<string, Described>> = {
  'GET /': { what: 'The page', file: ['text/html'] },
  'GET /app.js': { what: 'The program of the page', file: ['text/javascript'] },
  'GET /app.css': { what: 'The style of the page', file: ['text/css'] },
  'GET /tongues/:file': { what: 'The words of the page in another language', file: ['text/javascript'] },
  'GET /b/:building': { what: 'The same page, at its whole address', file: ['text/html'] },
  'GET /b/:building/': { what: 'The page of one of several buildings', file: ['text/html'] },
  'GET /api/overview': {
    what: 'All buildings of a host for several, the worst first; each has what else is here below /b/ and its id',
    json: 'BuildingsView',
  },
  'GET /trust': { what: 'How to trust the certificate of this host', file: ['text/html'] },
  'GET /nightproof-ca.crt': {
    what: 'The certificate of the authority of this host',
    file: ['application/x-x509-ca-cert'],
  },
  'GET /api/notice': { what: 'The risk notice for everyone in the building', json: 'NoticeView' },
  'GET /api/session': { what: 'Who is signed in, and whether that is asked for', json: 'SessionView' },
  'POST /api/session': { what: 'Sign in; the answer sets a cookie', body: signIn, ...outcome },
  'POST /api/session/code': { what: 'Choose a password with a one-time code', body: withCode, ...outcome },
  'POST /api/session/passkey/options': {
    what: 'What a browser needs to sign in with a passkey',
    ...{ json: 'PasskeyOffer', also: [400] },
  },
  'POST /api/session/passkey': {
    what: 'Sign in with what a passkey has answered; the answer sets a cookie',
    ...{ body: passkeyShown, ...outcome },
  },
  'POST /api/session/prove': {
    what: 'Give the password once more, for what takes a supply away',
    ...{ body: proving, ...outcome },
  },
  'POST /api/session/end': { what: 'Sign out', body: ending, ...outcome },
  'POST /api/password': { what: 'Change the password', body: renewal, ...outcome },
  'GET /api/passkeys': { what: 'The own passkeys', json: 'PasskeyView', isList: true },
  'POST /api/passkeys/options': {
    what: 'What a browser needs to make a passkey, for the password',
    ...{ body: passkeyOffered, json: 'PasskeyOffer', also: [400, 429] },
  },
  'POST /api/passkeys': { what: 'Keep the passkey that a browser has made', body: passkeyMade, ...outcome },
  'POST /api/passkeys/remove': {
    what: 'Remove an own passkey, for the password',
    ...{ body: passkeyRemoved, ...outcome },
  },
  'GET /api/accounts': { what: 'All accounts', json: 'AccountView', isList: true },
  'POST /api/accounts': { what: 'Make or change an account', body: accountChange, ...outcome },
  'GET /api/tokens': { what: 'All access tokens', json: 'TokenView', isList: true },
  'POST /api/tokens': {
    what: 'Make an access token, which is told this once, or withdraw one',
    ...{ body: tokenChange, json: 'TokenOutcome', also: [400] },
  },
  'GET /metrics': { what: 'Numbers for Prometheus, where the host serves them', file: ['text/plain'] },
  'GET /calendar.ics': { what: 'The planned tests as a calendar', file: ['text/calendar'] },
  'GET /floor-plans/:id': {
    what: 'The picture of a floor plan',
    file: ['image/svg+xml', 'image/png', 'image/jpeg'],
  },
  'GET /api/building': { what: 'The building as its site file says', json: 'BuildingView' },
  'GET /api/status': { what: 'The state of every circuit and luminaire', json: 'StatusView' },
  'GET /api/status/packed': {
    what: 'The same in few words: luminaires of a circuit in the same state are described once',
    json: 'PackedStatus',
  },
  'GET /api/plan': { what: 'The planned tests', json: 'PlanView' },
  'GET /api/defects': {
    what: 'Defects, open and closed, and what is not proven',
    ...{ query: defectsQuestion, json: 'DefectsView' },
  },
  'GET /api/logbook': {
    what: 'Entries of the log book, the newest first; kind "failed" for results with a failed luminaire',
    ...{ query: logQuestion, json: 'LogbookView' },
  },
  'GET /api/luminaires/:id': {
    what: 'The results and discharge curves of a luminaire',
    json: 'LuminaireHistory',
  },
  'GET /api/luminaires/:id/defects': {
    what: 'The defects of a luminaire that are not closed, and whether it is not proven',
    ...{ json: 'DefectView', isList: true },
  },
  'GET /api/events': {
    what: 'What changes, as server-sent events until the reader leaves; clock: {now, speed}',
    file: ['text/event-stream'],
    events: { status: 'ControllerStatus', live: 'LiveReading', entry: 'LogEntryView' },
  },
  'GET /api/duties': { what: 'What people must look at, and what they found', json: 'DutiesView' },
  'GET /api/site': { what: 'The site file as data, and the fields of its forms', json: 'SiteFileView' },
  'POST /api/report': {
    what: 'A report on a period, the last day included',
    ...{ body: reportQuestion, file: [PDF, 'text/csv'] },
  },
  'POST /api/labels': { what: 'Labels for luminaires', body: labelsQuestion, file: [PDF] },
  'POST /api/circuits/:id/orders': {
    what: 'An order to a controller, or an entry about a circuit; "ok" says whether it was done',
    ...{ body: order, json: 'OrderOutcome', also: [400, 403, 404] },
  },
  'POST /api/circuits/:id/traces': {
    what: 'Have a controller record its next test, in the name of who or what asks',
    ...{ body: traceOrder, json: 'OrderOutcome', also: [400, 404] },
  },
  'POST /api/inspections': {
    what: 'Enter what somebody looked at; the same id is never stored twice',
    ...{ body: inspection, json: 'InspectionOutcome', also: [400, 413, 503] },
  },
  'POST /api/withdrawals': {
    what: 'Withdraw an entry of the log book, which stays readable',
    ...{ body: withdrawal, json: 'OrderOutcome', also: [400] },
  },
  'POST /api/site': {
    what: 'Change the site file',
    ...{ body: siteRequest, json: 'SiteOutcome', also: [400, 409, 413] },
  },
};
