import { afterEach, describe, expect, it, vi } from 'vitest';
import { barText, startProgress } from '../../../host/cli/progress';

it('shows how much is done and how long the rest will take at that pace', () => {
  expect(barText(0, 200, 'runs', 0)).toBe('[..............................] 0 of 200 runs');
  expect(barText(50, 200, 'runs', 10_000)).toBe(
    '[########......................] 50 of 200 runs, about 30 s left',
  );
  expect(barText(7, 0, 'entries', 40_000)).toBe('7 entries');
  expect(barText(200, 200, 'runs', 40_000)).toBe('[##############################] 200 of 200 runs');
});

describe('progress', () => {
  const isTerminal = process.stderr.isTTY;
  afterEach(() => {
    vi.restoreAllMocks();
    process.stderr.isTTY = isTerminal;
  });

  /** What three steps write to standard error, each so long after the one before, ms. */
  function written(isTTY: boolean, isQuiet: boolean, pauseMs = 1): string {
    process.stderr.isTTY = isTTY;
    let now = 0;
    vi.spyOn(performance, 'now').mockImplementation(() => now);
    let text = '';
    vi.spyOn(process.stderr, 'write').mockImplementation((part) => {
      text += part;
      return true;
    });
    const progress = startProgress({ total: 300, what: 'days', isQuiet });
    for (let i = 0; i < 3; i++) {
      now += pauseMs;
      progress.step(100);
    }
    progress.end();
    vi.restoreAllMocks();
    return text;
  }

  it('is a bar on a terminal, removed at the end', () => {
    const text = written(true, false);
    expect(text).toContain('] 100 of 300 days');
    expect(text).toContain('] 300 of 300 days');
    expect(text.endsWith('\r\u001b[K')).toBe(true);
  });

  it('is a line every ten seconds in a pipe or a file', () => {
    expect(written(false, false, 9000)).toBe('200 of 300 days, about 9 s left\n');
    expect(written(false, false, 10_000)).toBe(
      '100 of 300 days, about 20 s left\n200 of 300 days, about 10 s left\n300 of 300 days\n',
    );
  });

  it('is not shown with --json', () => {
    expect(written(true, true, 20_000)).toBe('');
    expect(written(false, true, 20_000)).toBe('');
  });
});
