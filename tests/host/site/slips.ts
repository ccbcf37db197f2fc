// Slips in the small site file, and all that is said about each: line, field, what is wrong and what to write.
import { WITNESS_KEY } from './small';

export interface Slip {
  slip: string;
  /** What is written, in place of what. */
  write: string;
  for: string;
  /** Every mistake found, without the name of the file. */
  get: string[];
}

/** Today, for the battery that is fitted later. */
export const TODAY = '2026-11-30';

export const SLIPS: Slip[] = [
  {
    slip: 'an unknown key',
    write: 'timezone:',
    for: 'timeZone:',
    get: [
      '1: timeZone: is missing; it must be an IANA time zone, e.g. "Europe/London".',
      '3: timezone: there is no field "timezone" here; did you mean "timeZone"?',
    ],
  },
  {
    slip: 'a missing field',
    write: '',
    for: 'name: The old mill\n',
    get: ['1: name: is missing; it must be the name of the building, 1 to 80 characters.'],
  },
  {
    slip: 'an unknown time zone',
    write: 'Europe/Hollinsea',
    for: 'Europe/London',
    get: ['3: timeZone: must be an IANA time zone, e.g. "Europe/London", but is "Europe/Hollinsea".'],
  },
  {
    slip: 'a bad time',
    write: '"4 am"',
    for: '"04:00"',
    get: ['6: testWindows[#1].to: must be the end time as "HH:MM", 00:00 to 23:59, but is "4 am".'],
  },
  {
    slip: 'a time past midnight',
    write: '"24:00"',
    for: '"04:00"',
    get: [
      '6: testWindows[#1].to: must be the end time as "HH:MM", 00:00 to 23:59, but is "24:00"; write "00:00".',
    ],
  },
  {
    slip: 'a bad day',
    write: '[mon, tues]',
    for: '[mon, tue]',
    get: [
      '6: testWindows[#1].days[#2]: must be a list of days from: mon, tue, wed, thu, fri, sat, sun, but is "tues"; did you mean "tue"?',
    ],
  },
  {
    slip: 'a date that does not exist',
    write: '2023-02-29',
    for: '2024-02-29',
    get: [
      '19: circuits[one].batteryFitted: must be the date the battery was fitted as YYYY-MM-DD, a real date, but is "2023-02-29".',
    ],
  },
  {
    slip: 'a current out of bounds',
    write: 'Milliamps: 2001',
    for: 'Milliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is 2001.',
    ],
  },
  {
    slip: 'a current in words',
    write: 'Milliamps: many',
    for: 'Milliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "many".',
    ],
  },
  {
    slip: 'a rated duration out of bounds',
    write: 'ratedMinutes: 181',
    for: 'ratedMinutes: 180',
    get: [
      '17: circuits[one].ratedMinutes: must be the rated duration in minutes, a whole number from 15 to 180, but is 181.',
    ],
  },
  {
    slip: 'an unknown mode',
    write: 'mode: standby',
    for: 'mode: non-maintained',
    get: [
      '22: circuits[one].luminaires[A-2].mode: must be one of: non-maintained, maintained, switched maintained, combined, but is "standby".',
    ],
  },
  {
    slip: 'a bad id',
    write: 'id: Circuit_One',
    for: 'id: one',
    get: [
      '14: circuits[Circuit_One].id: must be 1 to 24 lower-case letters, digits or hyphens, e.g. "ground-a", but is "Circuit_One"; write circuit-one.',
    ],
  },
  {
    slip: 'no mains current',
    write: '',
    for: ', mainsMilliamps: 120',
    get: [
      '21: circuits[one].luminaires[A-1].mainsMilliamps: is missing; a maintained luminaire is lit on mains, so write its current.',
    ],
  },
  {
    slip: 'a mains current too many',
    write: 'Milliamps: 150, mainsMilliamps: 9',
    for: 'Milliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].mainsMilliamps: the emergency lamp of a non-maintained luminaire is dark on mains; remove this field.',
    ],
  },
  {
    slip: 'an earlier battery fitted after a later one',
    write: 'Milliamps: 150, batteriesBefore: [2021-01-01, 2024-03-01]',
    for: 'Milliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteriesBefore[#2]: must be before the date of the battery that followed it (2024-02-29); write the dates oldest first.',
    ],
  },
  {
    slip: 'an unknown area',
    write: 'area: lofd',
    for: 'area: loft',
    get: ['22: circuits[one].luminaires[A-2].area: there is no area "lofd"; did you mean "loft"?'],
  },
  {
    slip: 'an unknown adjacent area',
    write: '[cellar]',
    for: '[loft]',
    get: [
      '11: areas[hall].adjacent[#1]: there is no area "cellar"; write the id of an area listed in this file.',
    ],
  },
  {
    slip: 'an area adjacent to itself',
    write: '[hall]',
    for: '[loft]',
    get: ['11: areas[hall].adjacent[#1]: an area is not adjacent to itself; remove it.'],
  },
  {
    slip: 'an unknown floor',
    write: 'floor: roof\n    rated',
    for: 'floor: ground\n    rated',
    get: ['16: circuits[one].floor: there is no floor "roof"; write the id of a floor listed in this file.'],
  },
  {
    slip: 'a luminaire named twice',
    write: 'id: A-1',
    for: 'id: A-2',
    get: [
      '22: circuits[one].luminaires[A-1].id: there is another luminaire "A-1"; give each one its own id.',
    ],
  },
  {
    slip: 'an area named twice',
    write: '{ id: hall',
    for: '{ id: loft',
    get: [
      '11: areas[hall].adjacent[#1]: there is no area "loft"; write the id of an area listed in this file.',
      '12: areas[hall].id: there is another area "hall"; give each one its own id.',
      '22: circuits[one].luminaires[A-2].area: there is no area "loft"; write the id of an area listed in this file.',
    ],
  },
  {
    slip: 'an unknown profile',
    write: 'profile: en99999\nresponsible:',
    for: 'responsible:',
    get: [
      '4: profile: there is no rule profile "en99999"; write one of: en50172, as-nzs-2293, canada, cie193, en50172-2024, france-erp, germany, hong-kong, hong-kong-to-500, ireland, italy, japan, minnesota, new-zealand, nfpa101-computer, nfpa101-manual, nfpa101-self-testing, singapore.',
    ],
  },
  {
    slip: 'a window too short',
    write: '"02:04"',
    for: '"04:00"',
    get: [
      '6: testWindows[#1].to: the longest window is 3 h 04 min; make it at least 3 h 05 min, for the longest test (3 h) and a margin of 5 min; or, where people are there day and night and the rule accepts a limited duration test (2/3), write alwaysOccupied: true for circuit "one".',
    ],
  },
  {
    slip: 'a window that noon makes too short',
    write: 'from: "10:00", to: "15:00"',
    for: 'from: "23:00", to: "04:00"',
    get: [
      '6: testWindows[#1].to: the longest window is 3 h (a night lasts from noon to noon, so a window across noon counts as two); make it at least 3 h 05 min, for the longest test (3 h) and a margin of 5 min; or, where people are there day and night and the rule accepts a limited duration test (2/3), write alwaysOccupied: true for circuit "one".',
    ],
  },
  {
    slip: 'a window for the limited test only',
    write: '"01:05"',
    for: '"04:00"',
    get: [
      '6: testWindows[#1].to: the longest window is 2 h 05 min; make it at least 3 h 05 min, for the longest test (3 h) and a margin of 5 min; or, where people are there day and night and the rule accepts a limited duration test (2/3), write alwaysOccupied: true for circuit "one".',
    ],
  },
  {
    slip: 'a default that is nowhere',
    write: '',
    for: '    chemistry: NiMH\n',
    get: [
      '20: circuits[one].luminaires[A-1].chemistry: is missing; write it for the luminaire or once for its circuit.',
      '21: circuits[one].luminaires[A-2].chemistry: is missing; write it for the luminaire or once for its circuit.',
    ],
  },
  {
    slip: 'an empty place for a list',
    write: 'opening:',
    for: 'opening: []',
    get: ['7: opening: must be a list of opening hours, but is empty.'],
  },
  {
    slip: 'hours of an area in which people sleep',
    write: '{ id: loft, name: Loft, floor: ground, sleeping: true, occupied: [] }',
    for: '{ id: loft, name: Loft, floor: ground }',
    get: ['12: areas[loft].occupied: area "loft" has hours although people sleep there; remove the hours.'],
  },
  {
    slip: 'hours of an area that is never empty',
    write: '{ id: loft, name: Loft, floor: ground, alwaysOccupied: true, occupied: [] }',
    for: '{ id: loft, name: Loft, floor: ground }',
    get: [
      '12: areas[loft].occupied: area "loft" has hours although people are always there; remove the hours.',
    ],
  },
  {
    slip: 'an area in which people sleep but are not always',
    write: '{ id: loft, name: Loft, floor: ground, sleeping: true, alwaysOccupied: false }',
    for: '{ id: loft, name: Loft, floor: ground }',
    get: [
      '12: areas[loft].alwaysOccupied: people sleep in area "loft", which counts as always occupied; remove this field.',
    ],
  },
  {
    slip: 'light on an unknown area',
    write: 'area: loft, serves: [hal], mode',
    for: 'area: loft, mode',
    get: ['22: circuits[one].luminaires[A-2].serves[#1]: there is no area "hal"; did you mean "hall"?'],
  },
  {
    slip: 'light on no area',
    write: 'area: loft, serves: [], mode',
    for: 'area: loft, mode',
    get: [
      '22: circuits[one].luminaires[A-2].serves: must be a list of ids of areas, at least one, but is an empty list.',
    ],
  },
  {
    slip: 'a place north of the pole',
    write: 'location: { latitude: 91, longitude: 0 }\nopening: []',
    for: 'opening: []',
    get: [
      '7: location.latitude: must be the latitude in degrees, south negative, a number from -90 to 90, but is 91.',
    ],
  },
  {
    slip: 'half a place',
    write: 'location: { latitude: 54 }\nopening: []',
    for: 'opening: []',
    get: [
      '7: location.longitude: is missing; it must be the longitude in degrees, west negative, a number from -180 to 180.',
    ],
  },
  {
    slip: 'an engineer on no day',
    write: 'engineerDays: []\nopening: []',
    for: 'opening: []',
    get: [
      '7: engineerDays: must be a list of days from: mon, tue, wed, thu, fri, sat, sun, but is an empty list.',
    ],
  },
  {
    slip: 'a wait on a circuit that is not shared',
    write: '    emptySec: 600\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: ['17: circuits[one].emptySec: only a shared circuit waits for an empty area; remove this field.'],
  },
  {
    slip: 'a shared circuit that is never empty',
    write: '    shared: true\n    alwaysOccupied: true\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '18: circuits[one].alwaysOccupied: a shared circuit is tested only while no one is there, which would be never; have the circuits separated, or remove the field that does not apply.',
    ],
  },
  {
    slip: 'a witness without http',
    write: `opening: []\nwitnesses: [{ url: "192.168.1.9:8351", key: ${WITNESS_KEY} }]`,
    for: 'opening: []',
    get: [
      '8: witnesses[#1].url: must be the address of the witness, e.g. "http://192.168.1.9:8351", but is "192.168.1.9:8351".',
    ],
  },
  {
    slip: 'a key that is cut short',
    write: `opening: []\nwitnesses: [{ url: "http://192.168.1.9:8351", key: ${WITNESS_KEY.slice(0, -1)} }]`,
    for: 'opening: []',
    get: [
      '8: witnesses[#1].key: must be the key of the witness, name+8 digits+44 characters, as it was printed there, but is "gatehouse+9bf46849+BIE5dw6ofRdfVqNUZ...".',
    ],
  },
  {
    slip: 'a time stamp server that is no address',
    write: 'opening: []\ntimeStamps: [gatehouse]',
    for: 'opening: []',
    get: [
      '8: timeStamps[#1]: must be the address of a time stamp server, e.g. "http://192.168.1.9:8351", but is "gatehouse".',
    ],
  },
  {
    slip: 'a tab instead of spaces',
    write: '	name: Circuit one',
    for: '    name: Circuit one',
    get: ['15: this is not valid YAML: there is a tab at the beginning; indent with spaces.'],
  },
  {
    slip: 'a field too far to the left',
    write: '   name: Circuit one',
    for: '    name: Circuit one',
    get: [
      '15: this is not valid YAML: the indentation does not fit in this line or the next; put each field right under the first one of its group, and each "-" under the one before.',
    ],
  },
  {
    slip: 'a field too far to the right',
    write: '      name: Circuit one',
    for: '    name: Circuit one',
    get: [
      '14: this is not valid YAML: the indentation does not fit in this line or the next; put each field right under the first one of its group, and each "-" under the one before.',
    ],
  },
  {
    slip: 'a list item in another column',
    write: '    - { id: A-2',
    for: '      - { id: A-2',
    get: [
      '22: this is not valid YAML: the indentation does not fit in this line or the next; put each field right under the first one of its group, and each "-" under the one before.',
    ],
  },
  {
    slip: 'no space after a colon',
    write: '    name:Circuit one',
    for: '    name: Circuit one',
    get: [
      '15: this is not valid YAML: "name:Circuit one" is no field; write its name, a colon, a space and its value.',
    ],
  },
  {
    slip: 'no colon',
    write: '    name Circuit one',
    for: '    name: Circuit one',
    get: [
      '15: this is not valid YAML: "name Circuit one" is no field; write its name, a colon, a space and its value.',
    ],
  },
  {
    slip: 'a colon in a text',
    write: '    name: Circuit: one',
    for: '    name: Circuit one',
    get: [
      '15: this is not valid YAML: there is a second colon in this line; put a text with a colon between quotes.',
    ],
  },
  {
    slip: 'a quote that is not closed',
    write: '    name: "Circuit one',
    for: '    name: Circuit one',
    get: ['15: this is not valid YAML: a text begins with " but does not end with it; write " at its end.'],
  },
  {
    slip: 'a text that begins with @',
    write: '    name: @one',
    for: '    name: Circuit one',
    get: ['15: this is not valid YAML: a text cannot begin with @ or `; put it between quotes.'],
  },
  {
    slip: 'a text that begins with *',
    write: '    name: *one',
    for: '    name: Circuit one',
    get: ['1: this is not valid YAML: a text cannot begin with *; put "*one" between quotes.'],
  },
  {
    slip: 'a field twice',
    write: '    name: Circuit one\n    name: Circuit two',
    for: '    name: Circuit one',
    get: ['16: this is not valid YAML: this field is in its group already; remove one of the two.'],
  },
  {
    slip: 'a comma left out',
    write: 'area: loft mode',
    for: 'area: loft, mode',
    get: [
      '22: this is not valid YAML: a list or group in brackets is not complete; separate its parts by commas, each with a space after its colon, and close it with ] or }.',
    ],
  },
  {
    slip: 'a brace left out',
    write: 'ratedMinutes: 60',
    for: 'ratedMinutes: 60 }',
    get: [
      '23: this is not valid YAML: a list or group in brackets is not complete; separate its parts by commas, each with a space after its colon, and close it with ] or }.',
    ],
  },
  {
    slip: 'a second document',
    write: 'opening: []\n---\nid: x',
    for: 'opening: []',
    get: ['8: this is not valid YAML: a second document begins here; remove the line "---".'],
  },
  {
    slip: 'a field of the building in a circuit',
    write: '    responsible: A Miller\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].responsible: there is no field "responsible" here; it is a field of the whole site, at the margin; check the indentation.',
    ],
  },
  {
    slip: 'a current in amperes',
    write: 'batteryMilliamps: 0.3',
    for: 'batteryMilliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is 0.3; write 300 for 0.3 A.',
    ],
  },
  {
    slip: 'a decimal comma inside braces',
    write: 'batteryMilliamps: 0,3',
    for: 'batteryMilliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is 0.',
      '22: circuits[one].luminaires[A-2].3: there is no field "3" here; a comma separates two fields, so write a decimal point, as in 0.3, or a whole number.',
    ],
  },
  {
    slip: 'a current with a unit',
    write: 'batteryMilliamps: 150 mA',
    for: 'batteryMilliamps: 150',
    get: [
      '22: circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "150 mA"; write 150.',
    ],
  },
  {
    slip: 'a decimal comma outside braces',
    write: '    chargeMilliamps: 0,3\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].chargeMilliamps: must be the charging current right after a duration test in mA, if a sensor is fitted, a whole number from 1 to 60000, but is "0,3"; write 300 for 0,3 A.',
    ],
  },
  {
    slip: 'a duration in hours',
    write: '    ratedMinutes: 3 h',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].ratedMinutes: must be the rated duration in minutes, a whole number from 15 to 180, but is "3 h"; write 180 for 3 h.',
    ],
  },
  {
    slip: 'a duration of hours without a unit',
    write: '    ratedMinutes: 3',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].ratedMinutes: must be the rated duration in minutes, a whole number from 15 to 180, but is 3; write 180 for 3 h.',
    ],
  },
  {
    slip: 'a number between quotes',
    write: '    ratedMinutes: "180"',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].ratedMinutes: must be the rated duration in minutes, a whole number from 15 to 180, but is "180"; write 180.',
    ],
  },
  {
    slip: 'yes for true',
    write: '    shared: yes\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].shared: must be true or false (does the relay also switch off normal lighting?), but is "yes"; write true.',
    ],
  },
  {
    slip: 'on for true',
    write: '    shared: on\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].shared: must be true or false (does the relay also switch off normal lighting?), but is "on"; write true.',
    ],
  },
  {
    slip: 'no for false',
    write: '    auxiliaryContact: no\n    ratedMinutes: 180',
    for: '    ratedMinutes: 180',
    get: [
      '17: circuits[one].auxiliaryContact: must be true or false (is an auxiliary contact of the relay wired?), but is "no"; write false.',
    ],
  },
  {
    slip: 'a mode with a space',
    write: 'mode: non maintained',
    for: 'mode: non-maintained',
    get: [
      '22: circuits[one].luminaires[A-2].mode: must be one of: non-maintained, maintained, switched maintained, combined, but is "non maintained"; did you mean "non-maintained"?',
    ],
  },
  {
    slip: 'a time zone with a letter left out',
    write: 'Europe/Londn',
    for: 'Europe/London',
    get: [
      '3: timeZone: must be an IANA time zone, e.g. "Europe/London", but is "Europe/Londn"; did you mean "Europe/London"?',
    ],
  },
  {
    slip: 'a city for a time zone',
    write: 'London',
    for: 'Europe/London',
    get: [
      '3: timeZone: must be an IANA time zone, e.g. "Europe/London", but is "London"; did you mean "Europe/London"?',
    ],
  },
  {
    slip: 'a day written out',
    write: '[Monday, tue]',
    for: '[mon, tue]',
    get: [
      '6: testWindows[#1].days[#1]: must be a list of days from: mon, tue, wed, thu, fri, sat, sun, but is "Monday"; did you mean "mon"?',
    ],
  },
  {
    slip: 'days as a range',
    write: 'mon-fri',
    for: '[mon, tue]',
    get: [
      '6: testWindows[#1].days: must be a list of days from: mon, tue, wed, thu, fri, sat, sun, but is "mon-fri".',
    ],
  },
  {
    slip: 'a time with one digit',
    write: '4:00',
    for: '"04:00"',
    get: [
      '6: testWindows[#1].to: must be the end time as "HH:MM", 00:00 to 23:59, but is "4:00"; write "04:00".',
    ],
  },
  {
    slip: 'a date with dots',
    write: '29.02.2024',
    for: '2024-02-29',
    get: [
      '19: circuits[one].batteryFitted: must be the date the battery was fitted as YYYY-MM-DD, a real date, but is "29.02.2024"; write 2024-02-29.',
    ],
  },
  {
    slip: 'a battery fitted in the future',
    write: '2032-02-29',
    for: '2024-02-29',
    get: [
      '19: circuits[one].batteryFitted: 2032-02-29 is after today, 2026-11-30; write the date on which the battery was fitted.',
    ],
  },
  {
    slip: 'a chemistry with a hyphen',
    write: 'chemistry: Ni-MH',
    for: 'chemistry: NiMH',
    get: [
      '18: circuits[one].chemistry: must be one of: NiCd, NiMH, LiFePO4, lead-acid, but is "Ni-MH"; did you mean "NiMH"?',
    ],
  },
  {
    slip: 'a capital letter in an id',
    write: 'id: Mill\n',
    for: 'id: mill\n',
    get: [
      '1: id: must be 1 to 24 lower-case letters, digits or hyphens, e.g. "museum", but is "Mill"; write mill.',
    ],
  },
  {
    slip: 'a number for an id',
    write: 'id: 7\n',
    for: 'id: mill\n',
    get: [
      '1: id: must be 1 to 24 lower-case letters, digits or hyphens, e.g. "museum", but is 7; write "7", between quotes.',
    ],
  },
  {
    slip: 'a profile with a letter too many',
    write: 'profile: en501722\nresponsible:',
    for: 'responsible:',
    get: ['4: profile: there is no rule profile "en501722"; did you mean "en50172"?'],
  },
  {
    slip: 'an area without luminaires',
    write: '  - { id: cellar, name: Cellar, floor: ground }\ncircuits:\n',
    for: 'circuits:\n',
    get: [
      '13: areas[cellar]: no luminaire is in area "cellar" or lights it; name it as area or in serves of a luminaire, or remove it.',
    ],
  },
  {
    slip: 'a group where a list belongs',
    write: '  id: one\n    name',
    for: '  - id: one\n    name',
    get: [
      '14: this is not valid YAML: the indentation does not fit in this line or the next; put each field right under the first one of its group, and each "-" under the one before.',
    ],
  },
];
