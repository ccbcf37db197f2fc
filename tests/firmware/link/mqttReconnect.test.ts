import { describe, expect, it } from 'vitest';
import {
  mqttClose,
  mqttClosed,
  mqttData,
  mqttOpened,
  mqttTick,
  mqttWakeAt,
} from '../../../firmware/link/mqtt';
import { DISCONNECT, encodePublish } from '../../../firmware/link/packets';
import { type Bench, bench, goOnline } from './bench';

describe('reconnecting', () => {
  /** Waits after each of `count` failed attempts, ms. */
  function waits(b: Bench, count: number): number[] {
    const out: number[] = [];
    for (let i = 0; i < count; i++) {
      const now = mqttWakeAt(b.m);
      mqttTick(b.m, now);
      mqttClosed(b.m, now);
      out.push(mqttWakeAt(b.m) - now);
    }
    return out;
  }

  it('waits 1 s, 2 s and so on up to 120 s', () => {
    expect(waits(bench(), 9)).toEqual([1000, 2000, 4000, 8000, 16_000, 32_000, 64_000, 120_000, 120_000]);
  });

  it("adds the device's share of the wait, from the first attempt on", () => {
    const b = bench({ jitter: 0.25 });
    expect(mqttWakeAt(b.m)).toBe(250);
    expect(waits(b, 3)).toEqual([1250, 2500, 5000]);
  });

  it('starts at 1 s again after a connection of 30 s, and not after a shorter one', () => {
    const b = bench({ keepAliveSec: 0 });
    waits(b, 4);
    const first = mqttWakeAt(b.m);
    goOnline(b, first);
    mqttClosed(b.m, first + 29_999);
    expect(mqttWakeAt(b.m) - first - 29_999).toBe(16_000);
    expect(b.m.diedYoung).toBe(1);
    const second = mqttWakeAt(b.m);
    goOnline(b, second);
    mqttClosed(b.m, second + 30_000);
    expect(mqttWakeAt(b.m) - second - 30_000).toBe(1000);
    expect(b.m.diedYoung).toBe(0);
  });

  it('schedules one attempt when the port throws on open', () => {
    const b = bench();
    b.onOpen = () => {
      throw new Error('Unable to create socket');
    };
    mqttTick(b.m, 0);
    expect(b.seen).toEqual(['open']);
    expect(mqttWakeAt(b.m)).toBe(1000);
  });

  it('schedules one attempt when the port calls back from inside open and close', () => {
    const b = bench();
    b.onOpen = () => mqttClosed(b.m, 0);
    mqttTick(b.m, 0);
    expect(mqttWakeAt(b.m)).toBe(1000);
    b.onOpen = () => {};
    b.onClose = () => mqttClosed(b.m, 11_000);
    mqttTick(b.m, 1000);
    mqttTick(b.m, 11_000);
    mqttClosed(b.m, 11_500);
    expect(b.seen).toEqual(['open', 'open', 'close']);
    expect(mqttWakeAt(b.m)).toBe(13_000);
  });

  it('reports offline once and ignores what the old connection still reports', () => {
    const b = bench();
    goOnline(b, 0);
    mqttClosed(b.m, 5);
    mqttClosed(b.m, 6);
    mqttData(b.m, encodePublish('a', 'late', 0, 0, 0, 0), 7);
    mqttOpened(b.m, 8);
    expect(b.seen).toEqual(['offline']);
    expect(b.written).toEqual([]);
  });
});

describe('stopping', () => {
  it('sends DISCONNECT, closes, reports offline and never wakes again', () => {
    const b = bench();
    goOnline(b, 0);
    mqttClose(b.m);
    mqttClose(b.m);
    mqttClosed(b.m, 1);
    mqttTick(b.m, 1e9);
    expect(b.written).toEqual([DISCONNECT]);
    expect(b.seen).toEqual(['close', 'offline']);
    expect(mqttWakeAt(b.m)).toBe(Infinity);
  });

  it('has nothing to close while it waits', () => {
    const b = bench();
    mqttClose(b.m);
    expect(b.seen).toEqual([]);
    expect(b.written).toEqual([]);
  });

  it('stops cleanly when the port fails in every call', () => {
    const b = bench();
    goOnline(b, 0);
    b.onWrite = b.onClose = () => {
      throw new Error('socket is gone');
    };
    mqttClose(b.m);
    expect(b.seen).toEqual(['close', 'offline']);
  });
});
