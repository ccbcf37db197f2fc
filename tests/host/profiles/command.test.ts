import { afterEach, describe, expect, it, vi } from 'vitest';
import { profilesCommand } from '../../../host/cli/profiles';
import { profileNames } from '../../../host/profiles/profile';

let out = '';
let err = '';

/** Runs the command and captures its output. */
function run(name: string | undefined, json: boolean): number {
  out = '';
  err = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    out += text;
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    err += text;
    return true;
  });
  return profilesCommand(name, json);
}

afterEach(() => vi.restoreAllMocks());

describe('the profiles command', () => {
  it('lists every profile', () => {
    expect(run(undefined, false)).toBe(0);
    for (const name of profileNames()) expect(out).toMatch(new RegExp(`^${name} `, 'm'));
    expect(out).toContain('function test every 30 days, duration test every 365 days, 90 min');
    expect(out).toContain('given in the site file');
  });

  it('shows each value of one profile with document, clause and how far to trust it', () => {
    expect(run('nfpa101-manual', false)).toBe(0);
    expect(out).toMatch(/function tests never closer than +21 days\n.*7\.9\.3\.1\.1: read in the text/);
    expect(out).toMatch(/recharge after a function test +3600 s|recharge after a function test +60 min/);
    expect(out).toContain('common practice, no source');
    expect(out).toContain(
      'Rated 60 min: function test 90 s (at most 15 min), duration test of 90 min required, more',
    );
    expect(out).toMatch(/with the authority's agreement, every +35 days\n.*7\.9\.3\.1\.1: read in the text/);
    expect(run('japan', false)).toBe(0);
    expect(out).toMatch(
      /function test at least every +31 days\n +not given by any source we read; on the safe side/,
    );
    expect(out).toContain(
      'Rated 30 min: function test 90 s (at most 450 s), duration test of 30 min required.',
    );
    expect(run('nfpa101-computer', false)).toBe(0);
    expect(out).toMatch(/function test at least every +30 days\n.*: from memory/);
    expect(run('germany', false)).toBe(0);
    expect(out).toMatch(
      /function test at least every +7 days\n.*: our reading of "weekly" \(words from a summary\)/,
    );
    expect(run('as-nzs-2293', false)).toBe(0);
    expect(out).toContain('First discharge of a new system: 2 h.');
  });

  it('fits within 200 characters per line', () => {
    for (const name of profileNames()) {
      run(name, false);
      const rows = out.split('\n').filter((line) => line.startsWith('  '));
      expect(Math.max(...rows.map((line) => line.length))).toBeLessThanOrEqual(200);
    }
  });

  it('prints one JSON object with the same data', () => {
    expect(run('italy', true)).toBe(0);
    const one = JSON.parse(out);
    expect(one.profile.brief.latestDays).toMatchObject({
      ...{ value: 184, status: 'OUR', year: 2013, reads: { words: 'six-monthly', status: 'V2' } },
    });
    expect(one.status.V2).toBe('from a summary');
    expect(run(undefined, true)).toBe(0);
    expect(JSON.parse(out).profiles.map((profile: { name: string }) => profile.name)).toEqual(profileNames());
  });

  it('answers an unknown name with one sentence and exit code 1', () => {
    expect(run('irland', false)).toBe(1);
    expect([out, err]).toEqual(['', 'There is no rule profile "irland"; did you mean "ireland"?\n']);
    expect(run('atlantis', true)).toBe(1);
    expect(err).toContain('write one of: en50172,');
  });
});
