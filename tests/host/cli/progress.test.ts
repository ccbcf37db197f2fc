import { afterEach, describe, expect, it, vi } from 'vitest';
import { barText, progressBar } from '../../../host/cli/progress';

it('shows how much is done and how long the rest will take at that pace', () => {
  expect(barText(0, 200, 'runs', 0)).toBe('[..............................] 0 of 200 runs');
  expect(barText(50, 200, 'runs', 10_000)).toBe(
    '[########......................] 50 of 200 runs, about 30 s left',
  );
  expect(barText(200, 200, 'runs', 40_000)).toBe('[##############################] 200 of 200 runs');
});

describe('the bar', () => {
  const isTerminal = process.stderr.isTTY;
  afterEach(() => {
    vi.restoreAllMocks();
    process.stderr.isTTY = isTerminal;
  });

  /** What a bar of three steps writes to standard error. */
  function written(isTTY: boolean, isQuiet: boolean): string {
    process.stderr.isTTY = isTTY;
    let text = '';
    vi.spyOn(process.stderr, 'write').mockImplementation((part) => {
      text += part;
      return true;
    });
    const bar = progressBar(300, 'days', isQuiet);
    bar.step(100);
    bar.step(200);
    bar.end();
    vi.restoreAllMocks();
    return text;
  }

  it('is drawn on a terminal and removed at the end', () => {
    const text = written(true, false);
    expect(text).toContain('] 100 of 300 days');
    expect(text).toContain('] 300 of 300 days');
    expect(text.endsWith('\r\u001b[K')).toBe(true);
  });

  it.each([
    ['in a pipe or a file', false, false],
    ['with --json', true, true],
  ])('writes nothing %s', (_where, isTTY, isQuiet) => {
    expect(written(isTTY, isQuiet)).toBe('');
  });
});
