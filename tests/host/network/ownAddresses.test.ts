// Which addresses people are told, and in which order.
import { expect, it } from 'vitest';
import { addressForPhones, expectReachable, heardAt, inOrder } from '../../../host/network/ownAddresses';

const at = (...all: string[]) => all.map((address) => ({ address, internal: false }));

it('names private addresses first, then public ones, and those of bridges last', () => {
  const interfaces = {
    lo: [{ address: '127.0.0.1', internal: true }],
    docker0: at('172.17.0.1', 'fe80::1'),
    'br-1a2b': at('172.20.0.1'),
    eth0: at('203.0.113.9', '192.168.1.20', 'fd00::2'),
    gretap: at('172.17.0.4'),
  };
  expect(inOrder(interfaces)).toEqual([
    ...['192.168.1.20', 'fd00::2', '203.0.113.9'],
    ...['172.17.0.1', '172.20.0.1', '172.17.0.4'],
  ]);
});

it('leaves out the addresses that are not listened on', () => {
  expect(heardAt('0.0.0.0', ['fd00::2', '192.168.1.20'])).toEqual(['192.168.1.20']);
  expect(heardAt('::', ['fd00::2', '192.168.1.20'])).toEqual(['fd00::2', '192.168.1.20']);
});

it.each([
  [['127.0.1.1'], /^On this machine the name vm means the machine itself \(127\.0\.1\.1\)[^\n]*--name\.$/],
  [['::1', '127.0.0.1'], /^On this machine the name vm means the machine itself \(::1\)[^\n]*$/],
])('refuses a name that means this machine only, %j', async (found, sentence) => {
  const resolve = async () => found.map((address) => ({ address }));
  await expect(expectReachable('vm', resolve)).rejects.toThrow(sentence);
});

it.each(['192.168.1.20', '::', 'localhost', 'other'])('takes %s', async (host) => {
  const resolve = async () => [{ address: '127.0.1.1' }, { address: '192.168.1.20' }];
  await expect(expectReachable(host, resolve)).resolves.toBeUndefined();
});

it('finds the one address for phones, and says what to choose from where there are several', () => {
  const docker0 = at('172.17.0.1');
  expect(addressForPhones({ docker0, wlan0: at('fd00::2', '192.168.1.20'), ppp0: at('203.0.113.9') })).toBe(
    '192.168.1.20',
  );
  expect(addressForPhones({ eth0: at('203.0.113.9') })).toBe('203.0.113.9');
  expect(() => addressForPhones({ eth0: at('10.0.0.2'), wlan0: at('192.168.1.20') })).toThrow(
    "This machine has the addresses 10.0.0.2, 192.168.1.20. Give the one on the phone's network, such as --host 10.0.0.2.",
  );
  expect(() => addressForPhones({ docker0, eth0: at('fd00::2') })).toThrow(/^No phone reaches this machine/);
});
