// A plan as a calendar that ordinary calendar programs subscribe to (RFC 5545). Every test has its own date,
// so there is no recurrence rule.
import type { PlannedTest } from '../planner/plan/plan';
import type { Circuit, Site } from '../site/model';
import { capital } from '../words/capital';
import { testName } from '../words/codes';
import { lengthWord } from '../words/length';
import { isoUtc, momentWord } from '../words/when';
import { areaNames } from './areas';
import { powerFailureIn } from './powerFailure';

/** How soon a subscriber should look again. */
const AGAIN = 'PT1H';
const OCTETS_MAX = 75;

/** "20260106T003000Z". */
function basicUtc(utcSec: number): string {
  return isoUtc(utcSec).replace(/[-:]/g, '');
}

interface Told {
  summary: string;
  description: string;
}

function testWords(site: Site, circuit: Circuit, test: PlannedTest, full: string): Told {
  const name = testName(test.kind);
  const areas = areaNames(site, circuit.id);
  return {
    summary: `${capital(name)}: ${circuit.id} ${circuit.name}`,
    description: [
      `Circuit ${circuit.id}, ${circuit.name}. Areas: ${areas.join(', ')}.`,
      `The supply to its emergency luminaires is cut for ${lengthWord(test.end - test.start)} (${name}); ` +
        `their batteries are full again on ${full}.`,
      powerFailureIn(site, areas),
      'This is the first planned night. If the test cannot run then, it moves to a later one.',
    ].join('\n'),
  };
}

function rechargeWords(site: Site, circuit: Circuit, test: PlannedTest, full: string): Told {
  const areas = areaNames(site, circuit.id);
  return {
    summary: `Batteries recharging: ${circuit.id} ${circuit.name}`,
    description: [
      `Circuit ${circuit.id}, ${circuit.name}. Areas: ${areas.join(', ')}.`,
      `After its ${testName(test.kind)} the batteries are full again on ${full}.`,
      powerFailureIn(site, areas),
    ].join('\n'),
  };
}

/** Escapes a TEXT value (RFC 5545, 3.3.11). */
function escaped(text: string): string {
  return text.replace(/[\\;,]/g, '\\$&').replace(/\r\n|\r|\n/g, '\\n');
}

/** Folds a line into pieces of at most 75 octets, never inside a character (RFC 5545, 3.1). */
function folded(line: string): string {
  const bytes = Buffer.from(line);
  const pieces: string[] = [];
  for (let from = 0; from < bytes.length; ) {
    // A continuation line begins with a space, which marks it as one.
    let to = Math.min(bytes.length, from + (from === 0 ? OCTETS_MAX : OCTETS_MAX - 1));
    while (to < bytes.length && (bytes[to] & 0xc0) === 0x80) to--;
    pieces.push(bytes.toString('utf8', from, to));
    from = to;
  }
  return pieces.join('\r\n ');
}

interface CalendarEvent extends Told {
  uid: string;
  from: number;
  to: number;
  location: string;
}

function eventLines(event: CalendarEvent, stamp: number): string[] {
  return [
    'BEGIN:VEVENT',
    `UID:${event.uid}`,
    `DTSTAMP:${basicUtc(stamp)}`,
    `DTSTART:${basicUtc(event.from)}`,
    `DTEND:${basicUtc(event.to)}`,
    `SUMMARY:${escaped(event.summary)}`,
    `LOCATION:${escaped(event.location)}`,
    `DESCRIPTION:${escaped(event.description)}`,
    // It makes nobody busy.
    'TRANSP:TRANSPARENT',
    'END:VEVENT',
  ];
}

function eventsOf(site: Site, circuit: Circuit, test: PlannedTest): CalendarEvent[] {
  const location = areaNames(site, circuit.id).join(', ');
  const id = `${test.test}.${test.circuit}.${site.id}@nightproof`;
  const { start, end, recharged } = test;
  const full = momentWord(recharged, site.timeZone);
  return [
    { uid: `test-${id}`, from: start, to: end, location, ...testWords(site, circuit, test, full) },
    {
      uid: `recharge-${id}`,
      from: end,
      to: recharged,
      location,
      ...rechargeWords(site, circuit, test, full),
    },
  ];
}

/**
 * The calendar of a plan: one event for each test at its first attempt, and one for its recharge. A test that
 * is moved keeps its identity, made of site, circuit and number.
 * @param stamp UTC second at which the plan was made
 */
export function planCalendar(site: Site, tests: PlannedTest[], stamp: number): string {
  const circuits = new Map(site.circuits.map((circuit) => [circuit.id, circuit]));
  const name = escaped(`${site.name}: emergency lighting tests`);
  const events = tests.flatMap((test) => {
    const circuit = circuits.get(test.circuit);
    return circuit ? eventsOf(site, circuit, test) : [];
  });
  const lines = [
    ...['BEGIN:VCALENDAR', 'VERSION:2.0', 'PRODID:-//Nightproof//Plan//EN'],
    // NAME and REFRESH-INTERVAL are defined by RFC 7986; many programs still read the older two.
    ...[`NAME:${name}`, `X-WR-CALNAME:${name}`],
    ...[`REFRESH-INTERVAL;VALUE=DURATION:${AGAIN}`, `X-PUBLISHED-TTL:${AGAIN}`],
    ...events.flatMap((event) => eventLines(event, stamp)),
    'END:VCALENDAR',
  ];
  return lines.map((line) => `${folded(line)}\r\n`).join('');
}
