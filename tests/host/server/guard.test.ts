import { Hono } from 'hono';
import { expect, it } from 'vitest';
import { guard, type Names, requestRefusal } from '../../../host/server/guard';

const just = (...all: string[]): Names => ({ present: () => all, askedAgain: () => all });

it.each(['127.0.0.1', '127.0.0.2', 'localhost', '::1'])(
  'takes no foreign name that points to a page bound to %s',
  (boundTo) => {
    const asked = (host: string) =>
      requestRefusal(
        { method: 'GET', peer: '127.0.0.1', header: (name) => (name === 'host' ? host : undefined) },
        { boundTo },
      );
    expect(asked('rebound.example.org:8350')).toMatch(/^This page is only for this machine/);
    expect(asked(`${boundTo === '::1' ? '[::1]' : boundTo}:8350`)).toBe('');
  },
);

it.each([
  ['lights.example.org:8350', 'https://lights.example.org:8350', ''],
  ['[fd12::7]:8350', 'https://[fd12::7]:8350', ''],
  ['192.0.2.10:8350', 'http://192.0.2.10:8350', 'An order must come from this page.'],
  ['lights.example.org:8350', 'https://other.example.org', 'An order must come from this page.'],
])('takes an order at %s from %s over TLS only from itself', (host, origin, refusal) => {
  const headers: Record<string, string> = { host, origin, 'content-type': 'application/json' };
  const names = just('lights.example.org', '192.0.2.10', 'FD12::7');
  const request = { method: 'POST', peer: '192.0.2.77', header: (name: string) => headers[name] };
  expect(requestRefusal(request, { boundTo: '0.0.0.0', names, isTls: true })).toBe(refusal);
  const foreign = { ...request, method: 'GET', header: () => 'rebound.example.org:8350' };
  expect(requestRefusal(foreign, { boundTo: '0.0.0.0', names, isTls: true })).toMatch(
    /^This page is not served under that name; open it at lights\.example\.org/,
  );
});

it.each([
  ['192.0.2.77', false],
  ['fd12::9', false],
  ['', false],
  ['127.0.0.1', true],
  ['::ffff:127.0.0.1', true],
  ['::1', true],
])('answers %s by the names of this machine: %s', (peer, isAnswered) => {
  for (const host of ['localhost:8350', '127.0.0.1:8350', '[::1]:8350']) {
    const request = { method: 'GET', peer, header: (name: string) => (name === 'host' ? host : undefined) };
    expect(requestRefusal(request, { boundTo: '::', names: just() }) === '', host).toBe(isAnswered);
  }
});

it.each([
  ['127.0.0.1', 'localhost:8350', null],
  ['0.0.0.0', 'localhost:8350', null],
  ['0.0.0.0', 'lights.example.org:8350', 'max-age=31536000'],
])('on %s has browsers come to %s by TLS from now on: %s', async (boundTo, host, told) => {
  const app = new Hono();
  app.use('*', guard({ boundTo, names: just('lights.example.org'), isTls: true, isLasting: true }));
  app.get('/', (c) => c.text('here'));
  const incoming = { socket: { remoteAddress: '127.0.0.1' } };
  const answer = await app.request('/', { headers: { host } }, { incoming });
  expect(await answer.text()).toBe('here');
  expect(answer.headers.get('strict-transport-security')).toBe(told);
});
