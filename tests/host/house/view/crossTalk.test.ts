import { describe, expect, it } from 'vitest';
import { Reason, Verdict } from '../../../../firmware/contract/codes';
import { type Channel, crossTalk } from '../../../../host/house/view/crossTalk';

function channel(luminaire: string, batteryMilliamps: number, readings: number[], more = {}): Channel {
  const [milliampsAt5, milliampsAt60, milliampsEnd] = readings;
  return {
    ...{ luminaire, batteryMilliamps, milliampsAt5, milliampsAt60, milliampsEnd, onMainsMilliamps: 0 },
    ...{ verdict: Verdict.Pass, reason: Reason.None, litSec: 3600, curve: [] as number[], ...more },
  };
}

const ended = (litSec: number, curve: number[]) => ({
  ...{ verdict: Verdict.Fail, reason: Reason.EndedEarly, litSec, curve },
});

describe('two channels that show the same current', () => {
  it('read one sensor if they were commissioned far apart', () => {
    const channels = [
      channel('A-01', 200, [301, 300, 287]),
      channel('A-02', 300, [300, 301, 288]),
      channel('A-03', 250, [251, 250, 240]),
    ];
    expect(crossTalk(channels, 0)).toBe(
      'Most likely cross-talk: this channel and that of A-02 read the same current (301, 300, 287 and 300, 301, ' +
        '288 mA at 5 s, at 60 s and at the end) although commissioned at 200 and 300 mA. Check multiplexer and wiring ' +
        'for two channels on one sensor before you check the luminaires.',
    );
    expect(crossTalk(channels, 1)).toContain('that of A-01 read the same current');
    expect(crossTalk(channels, 2)).toBe('');
  });

  it('are both sound if commissioned alike, different at one point, or dark', () => {
    const pair = (a: Channel, b: Channel) => crossTalk([a, b], 0);
    expect(pair(channel('a', 250, [301, 300, 290]), channel('b', 300, [301, 300, 290]))).toBe('');
    expect(pair(channel('a', 200, [301, 300, 290]), channel('b', 300, [301, 300, 270]))).toBe('');
    expect(pair(channel('a', 200, [0, 0, 0]), channel('b', 300, [0, 0, 0]))).toBe('');
  });
});

describe('two channels that go out in the same second', () => {
  const curve = [-1, 103, 102, 100, 95, 0];
  const half = curve.map((percent) => percent * 0.5);

  it('may read one sensor if their curves match before', () => {
    const channels = [
      channel('A-01', 200, [206, 205, 0], ended(2410, curve)),
      channel('A-02', 400, [412, 411, 0], ended(2411, half)),
    ];
    expect(crossTalk(channels, 0)).toBe(
      'Possibly cross-talk: this channel and that of A-02 ended in the same second (2410 and 2411 s, 40 min) with ' +
        'curves within 0 % of each other. Two batteries rarely match so closely: check whether both channels read one ' +
        'sensor before you change batteries.',
    );
  });

  it('are two batteries if the ends or the earlier curves differ, or no curve is known', () => {
    const one = channel('a', 200, [206, 205, 0], ended(2410, curve));
    const other = (litSec: number, percents: number[]) =>
      channel('b', 400, [410, 400, 0], ended(litSec, percents));
    expect(crossTalk([one, other(2412, half)], 0)).toBe('');
    expect(crossTalk([one, other(2410, [-1, 103, 90, 80, 75, 0])], 0)).toBe('');
    expect(crossTalk([one, other(2410, [])], 0)).toBe('');
  });
});

describe('a dark channel', () => {
  it('that follows its neighbour proportionally is a dark lamp with a leak', () => {
    const channels = [channel('A-01', 200, [31, 30, 0]), channel('A-02', 300, [310, 300, 2])];
    expect(crossTalk(channels, 0)).toBe(
      'Most likely a dark lamp with cross-talk: this channel reads 10 % of the current of A-02, point for point (31, 30, ' +
        '0 against 310, 300, 2 mA at 5 s, at 60 s and at the end). Check the lamp first, then the sensor wiring.',
    );
    expect(crossTalk(channels, 1)).toBe('');
  });

  it('shows no leak if the neighbour is steady, nothing is read, or it varies independently', () => {
    const pair = (own: number[], other: number[]) =>
      crossTalk([channel('a', 200, own), channel('b', 300, other)], 0);
    expect(pair([31, 30, 29], [310, 300, 290])).toBe('');
    expect(pair([4, 4, 0], [310, 300, 0])).toBe('');
    expect(pair([31, 30, 30], [310, 300, 0])).toBe('');
  });
});

it('finds nothing in a result without that channel', () => {
  expect(crossTalk([], 3)).toBe('');
});
