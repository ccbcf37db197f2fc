// The calendar is read back by ical.js, a parser that shares nothing with the package that writes it.
import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { areaNames } from '../../../host/calendar/areas';
import { planCalendar } from '../../../host/calendar/ics';
import type { PlannedTest } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import type { Site } from '../../../host/site/model';
import { runs } from '../../support/depth';
import { HOUSE } from '../house/site';

const FROM = Date.parse('2026-03-01T00:00Z') / 1000;
const TESTS = makePlan(HOUSE, profileOf('en50172'), FROM, 365).tests;

function eventsOf(text: string): ICAL.Event[] {
  const root = new ICAL.Component(ICAL.parse(text));
  return root.getAllSubcomponents('vevent').map((event) => new ICAL.Event(event));
}

function utcOf(time: ICAL.Time): number {
  expect(time.zone).toBe(ICAL.Timezone.utcTimezone);
  return time.toUnixTime();
}

/** The two events each test should have. */
function wanted(site: Site, test: PlannedTest): object[] {
  const id = `${test.test}.${test.circuit}.${site.id}@nightproof`;
  const location = areaNames(site, test.circuit).join(', ');
  return [
    { uid: `test-${id}`, from: test.start, to: test.end, location },
    { uid: `recharge-${id}`, from: test.end, to: test.recharged, location },
  ];
}

function found(event: ICAL.Event): object {
  const { uid, location } = event;
  return { uid, from: utcOf(event.startDate), to: utcOf(event.endDate), location };
}

describe('the calendar of a plan', () => {
  it('gives another parser one event per test and one for its recharge, in UTC', () => {
    const events = eventsOf(planCalendar(HOUSE, TESTS, FROM));
    expect(TESTS.length).toBeGreaterThan(20);
    expect(events.map(found)).toEqual(TESTS.flatMap((test) => wanted(HOUSE, test)));
    expect(new Set(events.map(({ uid }) => uid)).size).toBe(events.length);
  });

  it('names circuit and areas, the end, and what to do if the power fails', () => {
    const full = TESTS.find((test) => test.kind === TestKind.Full) as PlannedTest;
    const [test, recharge] = eventsOf(planCalendar(HOUSE, [full], FROM));
    expect(test.summary).toBe(`Duration test: ${full.circuit} ${full.circuit}`);
    expect(recharge.summary).toBe(`Batteries recharging: ${full.circuit} ${full.circuit}`);
    for (const { description } of [test, recharge]) {
      expect(description).toMatch(/Areas: Hall\.\n/);
      expect(description).toMatch(/batteries are full again on \w{3} \d+ \w+ 2026, \d\d:\d\d\./);
      expect(description).toMatch(/If the power fails: leave Hall at once by torchlight/);
      expect(description).toMatch(/tell The caretaker\./);
    }
  });

  it('keeps the identity of a test that moves, and has no recurrence rule', () => {
    const [first] = TESTS;
    const text = planCalendar(HOUSE, [first], FROM);
    const moved = { ...first, start: first.start + 86400, end: first.end + 86400 };
    const ids = (calendar: string) => eventsOf(calendar).map(({ uid }) => uid);
    expect(ids(planCalendar(HOUSE, [moved], FROM))).toEqual(ids(text));
    expect(text).not.toMatch(/^RRULE/m);
  });

  it('is the same text for the same plan', () => {
    expect(planCalendar(HOUSE, TESTS, FROM)).toBe(planCalendar(HOUSE, TESTS, FROM));
  });

  it('handles any name, in lines of at most 75 octets that end in CR and LF (RFC 5545, 3.1)', () => {
    const names = fc.string({ unit: fc.constantFrom(...'a ,;:\\"nN→Ä日🜂'), minLength: 1, maxLength: 60 });
    const trimmed = names.map((name) => name.trim()).filter((name) => name !== '');
    fc.assert(
      fc.property(trimmed, trimmed, trimmed, (site, area, person) => {
        const house = {
          ...HOUSE,
          name: site,
          responsible: person,
          areas: [{ ...HOUSE.areas[0], name: area }],
        };
        const text = planCalendar(house, TESTS.slice(0, 2), FROM);
        expect(text.endsWith('END:VCALENDAR\r\n')).toBe(true);
        const lines = text.split('\r\n');
        expect(lines.filter((line) => /[\r\n]/.test(line) || Buffer.byteLength(line) > 75)).toEqual([]);
        const events = eventsOf(text);
        expect(events[0].location).toBe(area);
        expect(events[0].description).toContain(`tell ${person}.`);
        // That parser does not know NAME, which is TEXT as well (RFC 7986, 5.1).
        const name = String(new ICAL.Component(ICAL.parse(text)).getFirstPropertyValue('name'));
        expect(name.replace(/\\(.)/gu, '$1')).toBe(`${site}: emergency lighting tests`);
        expect(name.replace(/\\./gu, '')).not.toMatch(/[,;]/);
      }),
      { numRuns: runs(200), seed: 3 },
    );
  });
});
