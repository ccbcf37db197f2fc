// What the host says to other systems, as schemas: the one source of the types, of the JSON Schemas and of the
// AsyncAPI document. Fields are only ever added; a change that would break a reader raises `v`.
import { z } from 'zod';

/** Version of these messages. */
export const STATUS_VERSION = 1;

const version = z
  .literal(STATUS_VERSION)
  .describe('Version of these messages; raised when a reader must change');
const instant = z.iso
  .datetime({ offset: true })
  .describe('ISO 8601, local time of the building with its offset from UTC');
const maybe = instant.nullable();
const count = z.int().min(0);
const kind = z
  .enum(['brief', 'full', 'limited', 'commissioning'])
  .describe(
    'brief: function test; full: duration test; limited: two thirds of the rated duration; commissioning: first test',
  );
const area = z.object({ id: z.string(), name: z.string() });

const byKind = (what: string) =>
  z
    .object({ brief: maybe, full: maybe, limited: maybe, commissioning: maybe })
    .describe(`${what}, by kind of test; null if there is none`);

const hostStatus = z
  .object({
    v: version,
    online: z
      .boolean()
      .describe(
        'false: the host has ended, or an external broker has lost it (last will). The built-in broker dies with the ' +
          'host: alarm too when `at` is older than three minutes',
      ),
    startedAt: instant.describe('When this host connected to the broker first'),
    at: maybe.describe('When this was said, repeated every minute; null in the last will'),
  })
  .describe('Whether the host is there. While it is not, nothing else under status is kept up to date.');

export const luminaireStatus = z
  .object({
    v: version,
    luminaire: z.string(),
    circuit: z.string(),
    place: z.string(),
    area,
    mode: z.string().describe('As in the site file, such as maintained'),
    ratedSeconds: count.describe('Rated duration'),
    verdict: z
      .enum(['pass', 'fail', 'not proven'])
      .describe(
        'fail: it has failed and no test that shows as much has passed since, even if it was repaired. ' +
          'not proven: nothing failed, but nothing shows of late that it works either. Only pass is good news.',
      ),
    reason: z
      .object({
        code: z.int().nullable().describe('Number of the reason, never reused; null if the words have none'),
        words: z.string().describe('Plain English sentences'),
      })
      .nullable()
      .describe('Why it is not a pass; null for a pass'),
    since: maybe.describe(
      'fail: the test that first showed it. not proven: the newest test that proved it. null: for a pass, or unknown',
    ),
    judgedAt: maybe.describe('Its newest test that ended with a verdict'),
    lastPassAt: byKind('Start of the newest test it passed'),
    defects: z
      .array(
        z.object({
          state: z.enum(['open', 'repaired']).describe('repaired: somebody reported it; its retest is due'),
          code: z.int().describe('Number of the reason of its newest fail'),
          words: z.string(),
          since: instant,
          fails: count.describe('Tests that have failed'),
          dueDate: z.iso.date().nullable().describe('By when it is to be repaired, local date'),
          retestAt: maybe.describe('Planned test that can close it; null if none is planned'),
        }),
      )
      .describe('Defects of the log book that are not closed'),
  })
  .describe('One luminaire, as the log book has it');

export const circuitStatus = z
  .object({
    v: version,
    circuit: z.string(),
    name: z.string(),
    contact: z
      .enum(['reporting', 'late', 'silent', 'never heard'])
      .describe(
        'late: two and a half heartbeats missed; silent: ten. Then the rest is as it was last heard.',
      ),
    silentSince: maybe.describe('Last heard; null unless silent'),
    state: z
      .enum([
        'starting',
        'charged',
        'recharging',
        'opening',
        'brief',
        'full',
        'restoring',
        'outage',
        'held',
        'fault',
        'unknown',
      ])
      .describe('What its controller does; brief and full: such a test runs'),
    words: z.string().describe('The same as a plain English sentence'),
    waiting: z.string().nullable().describe('Why a test that is due cannot start; null if none is'),
    supply: z
      .object({
        beforeRelay: z.boolean().nullable(),
        behindRelay: z.boolean().nullable().describe('false: the luminaires are on battery'),
      })
      .describe('Whether the supply is there; null if that is not known'),
    relayOpen: z.boolean().nullable(),
    chargedAt: maybe.describe('When full autonomy is expected back; null if charged or not known'),
    troubles: z
      .array(
        z.object({
          trouble: z
            .enum(['fault', 'outage', 'held', 'overdue'])
            .describe(
              'fault: of the tester; outage: mains failure; held: testing is on hold; overdue: a test is',
            ),
          since: instant,
        }),
      )
      .describe('Troubles that last'),
    verdicts: z.object({ pass: count, fail: count, notProven: count }).describe('Its luminaires by verdict'),
    notProven: z
      .string()
      .nullable()
      .describe('Why nothing of the whole circuit counts as proven; null if that is not so'),
    nextTestAt: byKind('Start of the next planned test that shows at least as much'),
    lastTestAt: byKind('Start of the last test that had a verdict'),
  })
  .describe('One circuit and its controller');

export const buildingStatus = z
  .object({
    v: version,
    building: z.string().describe('Id of the site'),
    name: z.string(),
    simulated: z.boolean().describe('true: the controllers are simulated'),
    verdict: z
      .enum(['pass', 'fail', 'not proven'])
      .describe('fail if any luminaire has failed; else not proven if any is; else pass'),
    luminaires: z.object({ pass: count, fail: count, notProven: count }).describe('Luminaires by verdict'),
    circuits: z
      .object({ reporting: count, late: count, silent: count, neverHeard: count })
      .describe('Controllers by contact'),
    troubles: z
      .object({ fault: count, outage: count, held: count, overdue: count })
      .describe('Circuits with each trouble'),
    openDefects: count,
    testing: count.describe('Circuits on battery for a test now'),
    nextTestAt: maybe.describe('The next planned test in the building'),
  })
  .describe('The whole building, counted');

const utc = z.int().min(0).describe('UTC second');

/** The risk notice, which is older than the rest and says its times in seconds. */
export const noticeStatus = z
  .object({
    v: z.int().describe('Version of the wire'),
    at: utc.describe('UTC second it was made; one older than half an hour says nothing about now'),
    until: utc.describe('UTC second at which all listed ends; 0 if nothing is listed or that is not known'),
    circuits: count.describe('Circuits that discharge, recharge or are to be tested within a day'),
    unknown: count.describe('Circuits of which nothing newer is known'),
    areas: z.array(z.string()).describe('Names of the areas they light, of those listed'),
    text: z.string().describe('Sentences to show'),
  })
  .describe('Where the emergency lighting may fail now: for displays');

export const STATUS_SCHEMAS = {
  host: hostStatus,
  building: buildingStatus,
  circuit: circuitStatus,
  luminaire: luminaireStatus,
} as const;

export type StatusOf = keyof typeof STATUS_SCHEMAS;
export type HostStatus = z.infer<typeof hostStatus>;
export type LuminaireStatus = z.infer<typeof luminaireStatus>;
export type CircuitStatus = z.infer<typeof circuitStatus>;
export type BuildingStatus = z.infer<typeof buildingStatus>;
export type TestKindWord = z.infer<typeof kind>;
