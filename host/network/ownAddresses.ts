// At which addresses others reach this machine, best first, and whether a name is one of them.
import { lookup } from 'node:dns/promises';
import { isIP } from 'node:net';
import { type NetworkInterfaceInfo, networkInterfaces } from 'node:os';
import { isThisMachine } from '../loopback';
import { isPrivate } from '../tls/authority';

/** Bridges to containers and virtual machines, which no phone reaches: names as Linux and its usual programs give them. */
const BRIDGE = /^(docker|podman|br-|veth|virbr|vmnet|vboxnet|lxc|lxd|cni|flannel)/;
/** A container's default bridge seen under another name, common practice, no source. */
const BRIDGE_ADDRESS = /^172\.17\./;

type Interfaces = NodeJS.Dict<Pick<NetworkInterfaceInfo, 'address' | 'internal'>[]>;

function ranked(interfaces: Interfaces): { address: string; rank: number }[] {
  const rank = (name: string, address: string): number =>
    BRIDGE.test(name) || BRIDGE_ADDRESS.test(address) ? 2 : isPrivate(address) ? 0 : 1;
  return Object.entries(interfaces)
    .flatMap(([name, all = []]) =>
      all
        .filter(({ internal, address }) => !internal && !address.startsWith('fe80'))
        .map(({ address }) => ({ address, rank: rank(name, address) })),
    )
    .sort((a, b) => a.rank - b.rank);
}

/** Private addresses first, then public ones, those of bridges last. */
export function inOrder(interfaces: Interfaces): string[] {
  return ranked(interfaces).map(({ address }) => address);
}

/**
 * The IPv4 address at which phones reach this machine, where there is only one.
 * @throws Error with one sentence if there is none, or a choice
 */
export function addressForPhones(interfaces: Interfaces = networkInterfaces()): string {
  const all = ranked(interfaces).filter(({ address, rank }) => isIP(address) === 4 && rank < 2);
  const best = all.filter(({ rank }) => rank === all[0].rank).map(({ address }) => address);
  if (best.length === 1) return best[0];
  throw new Error(
    best.length === 0
      ? 'No phone reaches this machine: it has no IPv4 address on a network. Connect it first, or give one with --host.'
      : `This machine has the addresses ${best.join(', ')}. Give the one on the phone's network, such as --host ${best[0]}.`,
  );
}

/** All addresses at which others reach this machine. */
export function ownAddresses(): string[] {
  return inOrder(networkInterfaces());
}

/** True for what means every address of the machine. */
export function isEvery(host: string): boolean {
  return host === '0.0.0.0' || host === '::';
}

/** Those that are served where one listens on every address: 0.0.0.0 is that of IPv4 only. */
export function heardAt(host: string, addresses: readonly string[]): string[] {
  return addresses.filter((one) => host === '::' || isIP(one) === 4);
}

/** What to give in place of an address that does not do. */
function adviceWords(addresses: readonly string[] = ownAddresses()): string {
  return addresses.length === 0
    ? 'it has no address on a network now; connect it first'
    : `give one that it has: ${addresses.join(', ')}`;
}

/** Why nothing can listen there, in words; '' for other reasons than the address. */
export function noAddressWords({ code }: NodeJS.ErrnoException, host: string): string {
  if (code === 'EADDRNOTAVAIL') return `this machine does not have the address ${host}; ${adviceWords()}`;
  if (code === 'ENOTFOUND' || code === 'EAI_AGAIN')
    return `no address is known for the name ${host}; ${adviceWords()}`;
  return '';
}

type Resolve = (name: string) => Promise<{ address: string }[]>;

/**
 * Some machines know their own name for themselves only: nothing from the network would arrive there.
 * @throws Error with one sentence if a name is one of this machine only
 */
export async function expectReachable(
  host: string,
  resolve: Resolve = (name) => lookup(name, { all: true }),
): Promise<void> {
  if (isIP(host) > 0 || isThisMachine(host)) return;
  // Why a name is not known is said by what listens there.
  const found = await resolve(host).catch(() => []);
  if (found.length === 0 || found.some(({ address }) => !isThisMachine(address))) return;
  throw new Error(
    `On this machine the name ${host} means the machine itself (${found[0].address}), where no phone arrives; ` +
      `for --host ${adviceWords()}. The name can be given as well, with --name.`,
  );
}
