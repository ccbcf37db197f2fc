import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PowerCut, SimulatedFlash } from '../../simulator/flash';

describe('simulated flash', () => {
  it('is erased when made, and each byte can be written once', () => {
    const flash = new SimulatedFlash();
    expect(flash.read('a', 0, 4)).toBe('\xff'.repeat(4));
    expect(flash.erase('a', 16)).toBe(true);
    expect(flash.append('a', 0, '', 'head')).toBe(true);
    expect(flash.read('a', 0, 16)).toBe(`head${'\xff'.repeat(12)}`);
    expect(flash.append('a', 4, 'ta', 'il')).toBe(true);
    expect(flash.append('a', 7, '', 'x')).toBe(false);
    expect(flash.append('a', 14, '', 'xyz')).toBe(false);
    expect(flash.append('b', 0, '', 'x')).toBe(false);
    expect(flash.read('a', 0, 8)).toBe('headtail');
    expect(flash.read('a', 12, 99)).toHaveLength(4);
  });

  it('takes a write exactly where every byte is erased, in any order, torn ones too', () => {
    const SIZE = 24;
    const write = fc.record({
      at: fc.nat({ max: SIZE }),
      text: fc.stringMatching(/^[a-c\xff]{0,6}$/),
      power: fc.constantFrom(0, 1, 3, 99),
    });
    fc.assert(
      fc.property(fc.array(write, { maxLength: 12 }), (writes) => {
        const flash = new SimulatedFlash();
        flash.erase('a', SIZE);
        const bytes = Array.from({ length: SIZE }, () => '\xff');
        for (const { at, text, power } of writes) {
          const fits =
            at + text.length <= SIZE && bytes.slice(at, at + text.length).every((b) => b === '\xff');
          flash.bytesUntilCut = power;
          const append = () => flash.append('a', at, text.slice(0, 2), text.slice(2));
          if (fits && power < text.length) expect(append).toThrow(PowerCut);
          else expect(append()).toBe(fits);
          if (fits) for (let i = 0; i < Math.min(power, text.length); i++) bytes[at + i] = text[i];
          expect(flash.read('a', 0, SIZE)).toBe(bytes.join(''));
        }
      }),
    );
  });

  it('keeps the part that was written when the power goes in the middle', () => {
    const flash = new SimulatedFlash();
    flash.erase('a', 16);
    flash.bytesUntilCut = 3;
    expect(() => flash.append('a', 0, '', 'abcdef')).toThrow(PowerCut);
    expect(flash.read('a', 0, 6)).toBe('abc\xff\xff\xff');
    expect(() => flash.append('a', 6, '', 'x')).toThrow(PowerCut);
  });

  it('writes nothing once it is worn, and still reads', () => {
    const flash = new SimulatedFlash();
    flash.erase('a', 16);
    flash.append('a', 0, '', 'abc');
    flash.save('s', 'text');
    flash.worn = true;
    expect([flash.append('a', 3, '', 'd'), flash.erase('b', 4), flash.save('s', 'x')]).toEqual([
      false,
      false,
      false,
    ]);
    expect([flash.read('a', 0, 3), flash.load('s'), flash.load('t')]).toEqual(['abc', 'text', '']);
  });

  it('tears the first write from the instant planted on, never all of it', () => {
    const clock = { now: 0 };
    const flash = new SimulatedFlash(clock);
    flash.erase('a', 16);
    flash.tornWrites.push({ at: 100, bytes: 99 });
    expect(flash.append('a', 0, '', 'ab')).toBe(true);
    clock.now = 100;
    expect(() => flash.append('a', 2, '', 'cdef')).toThrow(PowerCut);
    expect(flash.read('a', 0, 7)).toBe('abcde\xff\xff');
    flash.bytesUntilCut = Number.POSITIVE_INFINITY;
    expect(flash.append('a', 6, '', 'x')).toBe(true);
  });

  it('refuses writes for a time, or reports them as done and keeps none', () => {
    const clock = { now: 0 };
    const flash = new SimulatedFlash(clock);
    flash.erase('a', 16);
    flash.save('s', 'old');
    flash.refusals.push({ from: 10, to: 20 });
    flash.lies.push({ from: 30, to: 40 });
    clock.now = 10;
    expect([flash.append('a', 0, '', 'x'), flash.erase('b', 4), flash.save('s', 'y')]).toEqual([
      ...[false, false],
      false,
    ]);
    clock.now = 30;
    expect([flash.append('a', 0, '', 'x'), flash.erase('b', 4), flash.save('s', 'y')]).toEqual([
      ...[true, true],
      true,
    ]);
    expect([flash.read('a', 0, 1), flash.load('s')]).toEqual(['\xff', 'old']);
    clock.now = 40;
    expect([flash.append('a', 0, '', 'x'), flash.read('a', 0, 1)]).toEqual([true, 'x']);
  });
});
