// Scenarios of the core as text: what is given, what happens, and what the controller does about it. With
// SCENARIOS=rewrite the logs are rewritten; what the author expects stays as it is, and must hold.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { nightLogsOf, unmetExpectation } from './play';
import { readScript, rewritten } from './script';
import { PHASES } from './words';

const FOLDER = new URL('.', import.meta.url);
const files = readdirSync(FOLDER).filter((name) => name.endsWith('.txt'));
const isRewriting = process.env.SCENARIOS === 'rewrite';

function play(name: string, text: string) {
  const script = readScript(`tests/scenarios/${name}`, text, [...PHASES.keys()]);
  const logs = nightLogsOf(script);
  return { now: rewritten(script, logs), unmet: unmetExpectation(script, logs) };
}

describe('the scenario', () => {
  it.each(files)('%s plays exactly as written', (name) => {
    const place = new URL(name, FOLDER);
    const text = readFileSync(place, 'utf8');
    const { now, unmet } = play(name, text);
    if (isRewriting && now !== text) writeFileSync(place, now);
    else expect(now).toBe(text);
    expect(unmet).toBe('');
  });
});

describe('a scenario', () => {
  it('keeps every line of its author when its log is rewritten', () => {
    const text = '# why\nat d1 00:00: stop on\n| nonsense\nexpect record start\n\n# then\nat d1 00:01\n';
    const { now, unmet } = play('x.txt', text);
    expect(unmet).toBe('');
    expect(now.split('\n').filter((line) => !line.startsWith('|'))).toEqual(
      text.split('\n').filter((line) => !line.startsWith('|')),
    );
    expect(now).toContain('| d1 00:00:00.00  record start');
    expect(now).not.toContain('nonsense');
    expect(play('x.txt', now).now).toBe(now);
  });

  it('says which expectation is not met, including one that something does not happen', () => {
    const unmet = (expectation: string) =>
      play('x.txt', `at d1 00:00\nexpect ${expectation}\nat d1 00:10\n`).unmet;
    expect(unmet('record outage')).toBe('tests/scenarios/x.txt:2: Not in the log above it: "record outage".');
    expect(unmet('no record start')).toBe(
      'tests/scenarios/x.txt:2: Still in the log above it: "record start".',
    );
    expect(unmet('no record outage')).toBe('');
  });

  it.each([
    ['at noon: stop on', '"noon" is no phase'],
    ['at d1 0:00: stop on', 'an event is "at TIME: WHAT"'],
    ['at d1 00:00: stop maybe', 'what happens is one of: mains|key|stop|occupied on|off; '],
    ['at d1 00:00: lamp 9 dies', 'it is written "lamp 1 dies|'],
    ['at d1 00:00: order test fast by anna', 'it is written "order test brief by anna"'],
    ['at +fast', '"+fast" is no length such as +30s or +5min'],
    ['when it rains', 'a line begins with "given", "at", "expect", "#" or "|"'],
    ['| d1 00:00:00.00  phase charged', 'a log line stands behind an "at" line'],
    ['expect phase charged', 'an expectation stands behind an "at" line'],
    ['given settings brief=120', '"brief=120" is no setting such as briefSec=120'],
    ['given luminaire shiny', 'a luminaire is "maintained 200mA on battery'],
    ['given plan test 1 fast d2 01:00 to 06:00', 'a plan is "test 1 brief'],
    ['given good luck', 'given are settings, luminaire, plan'],
  ])('that says "%s" is refused with file, line and what is wrong', (line, why) => {
    const text = `# first\n${line}\nat d1 00:01\n`;
    const sentence = `tests/scenarios/x.txt:2: "${line}" cannot be read: ${why}`;
    expect(() => play('x.txt', text)).toThrow(
      expect.objectContaining({ message: expect.stringContaining(sentence) }),
    );
  });

  it('in which nothing happens, or that goes back in time, is refused', () => {
    expect(() => play('x.txt', '# nothing\n')).toThrow('x.txt:1: The scenario has no "at" line');
    expect(() => play('x.txt', 'at d1 00:10\nat d1 00:05: stop on\n')).toThrow(
      'it lies before the event above it',
    );
    expect(() => play('x.txt', 'at d1 00:00\ngiven clock unset\n')).toThrow(
      'stands before the first "at" line',
    );
    expect(() => play('x.txt', 'given settings briefSec=1\nat d1 00:00\n')).toThrow(
      'tests/scenarios/x.txt:1: The controller does not take what is given: a value is out of bounds.',
    );
  });
});
