// A plan as a calendar that ordinary calendar programs subscribe to (RFC 5545). Tests come at their own dates, so
// there is no recurrence rule in it.
import ical, { ICalEventTransparency } from 'ical-generator';
import type { PlannedTest } from '../planner/plan';
import type { Circuit, Site } from '../site/model';
import { momentWord } from '../when';
import { lengthWord, powerFailureWords, testName } from '../words';
import { areaNames } from './areas';

/** Minutes after which a subscriber should look again. */
const AGAIN_MINUTES = 60;

const date = (utcSec: number): Date => new Date(utcSec * 1000);

/** The package writes a calendar's name as it is, so it is escaped here. */
const escaped = (text: string): string => text.replace(/[\\;,]/g, '\\$&');

const capital = (text: string): string => text[0].toUpperCase() + text.slice(1);

interface Told {
  summary: string;
  description: string;
}

function testWords(site: Site, circuit: Circuit, test: PlannedTest): Told {
  const name = testName(test.kind);
  const areas = areaNames(site, circuit.id);
  const full = momentWord(test.recharged, site.timeZone);
  return {
    summary: `${capital(name)}: ${circuit.id} ${circuit.name}`,
    description: [
      `Circuit ${circuit.id}, ${circuit.name}. Areas: ${areas.join(', ')}.`,
      `A ${name} takes away the supply of its emergency luminaires for ${lengthWord(test.end - test.start)}; ` +
        `their batteries are full again on ${full}.`,
      powerFailureWords(areas, site.responsible),
      'This is the first chance of the test. What keeps it from running then moves it to a later night.',
    ].join('\n'),
  };
}

function rechargeWords(site: Site, circuit: Circuit, test: PlannedTest): Told {
  const areas = areaNames(site, circuit.id);
  return {
    summary: `Batteries recharging: ${circuit.id} ${circuit.name}`,
    description: [
      `Circuit ${circuit.id}, ${circuit.name}. Areas: ${areas.join(', ')}.`,
      `After its ${testName(test.kind)} the batteries are full again on ${momentWord(test.recharged, site.timeZone)}.`,
      powerFailureWords(areas, site.responsible),
    ].join('\n'),
  };
}

/**
 * The calendar of a plan: an event for every test at its first chance, and one for its recharge. A test keeps its
 * identity when it is moved, by site, circuit and number.
 * @param stamp UTC second from which the plan was made
 */
export function planCalendar(site: Site, tests: PlannedTest[], stamp: number): string {
  const circuits = new Map(site.circuits.map((circuit) => [circuit.id, circuit]));
  const calendar = ical({
    prodId: { company: 'Nightproof', product: 'Plan', language: 'EN' },
    name: escaped(`${site.name}: emergency lighting tests`),
    ttl: AGAIN_MINUTES * 60,
  });
  for (const test of tests) {
    const circuit = circuits.get(test.circuit);
    if (!circuit) continue;
    const location = areaNames(site, circuit.id).join(', ');
    const common = { location, stamp: date(stamp), transparency: ICalEventTransparency.TRANSPARENT };
    const id = (what: string): string => `${what}-${test.test}.${test.circuit}.${site.id}@nightproof`;
    calendar.createEvent({
      ...{ id: id('test'), start: date(test.start), end: date(test.end) },
      ...common,
      ...testWords(site, circuit, test),
    });
    calendar.createEvent({
      ...{ id: id('recharge'), start: date(test.end), end: date(test.recharged) },
      ...common,
      ...rechargeWords(site, circuit, test),
    });
  }
  return `${calendar.toString().replace(/(\r\n)+$/, '')}\r\n`;
}
