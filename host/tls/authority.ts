// The host's own certificate authority, for phones and computers in the building, and the certificate that it gives the
// page. It can vouch for private addresses and for the names given, and for nothing else on the internet, even if its
// key is stolen: RFC 5280 (2008), section 4.2.1.10.
import { createHash, webcrypto } from 'node:crypto';
import { isIP } from 'node:net';
import { BitString, Integer, OctetString, PrintableString } from 'asn1js';
import {
  AttributeTypeAndValue,
  AuthorityKeyIdentifier,
  BasicConstraints,
  Certificate,
  CryptoEngine,
  Extension,
  ExtKeyUsage,
  GeneralName,
  GeneralNames,
  GeneralSubtree,
  NameConstraints,
  Time,
} from 'pkijs';
import { groupsOf } from '../loopback';

/** A certificate and its key, as PEM. */
export interface KeyPair {
  cert: string;
  key: string;
}

/** Days. The authority outlives the host; phones take no certificate of a server for longer than 825 (from memory). */
const AUTHORITY_DAYS = 3650;
const SERVER_DAYS = 365;
export const DAY_MS = 86_400_000;
/** This program is no older, so that no clock is right before it, UTC ms. */
export const OLDEST_MS = Date.UTC(2026, 0, 1);
/** From here on dates are written as GeneralizedTime: RFC 5280, section 4.1.2.5. */
const GENERALIZED_FROM = 2050;

const CURVE = { name: 'ECDSA', namedCurve: 'P-256' };
const engine = new CryptoEngine({ name: 'node', crypto: webcrypto as unknown as Crypto });

/** Object identifiers: RFC 5280, section 4.2. */
const OID = {
  ...{ commonName: '2.5.4.3', basicConstraints: '2.5.29.19', keyUsage: '2.5.29.15', names: '2.5.29.17' },
  ...{
    constraints: '2.5.29.30',
    extendedUsage: '2.5.29.37',
    ownKey: '2.5.29.14',
    authorityKey: '2.5.29.35',
    serverAuth: '1.3.6.1.5.5.7.3.1',
  },
};
/** Bits of key usage, the first on the left: section 4.2.1.3. */
const SIGNS_CERTIFICATES = 0b0000_0110;
const SIGNS = 0b1000_0000;

/** Private and link-local addresses with their masks, and names that no public server has. */
const PRIVATE = [
  '0a000000ff000000',
  'ac100000fff00000',
  'c0a80000ffff0000',
  'a9fe0000ffff0000',
  '7f000000ff000000',
  `fc${'00'.repeat(15)}fe${'00'.repeat(15)}`,
  `fe80${'00'.repeat(14)}ffc0${'00'.repeat(14)}`,
  `${'00'.repeat(15)}01${'ff'.repeat(16)}`,
];
const PRIVATE_NAMES = ['localhost', 'local', 'internal', 'home.arpa', 'lan'];

const bufferOf = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;

/** The bytes of an IP address. */
function addressBytes(address: string): Uint8Array {
  if (isIP(address) === 4) return Uint8Array.from(address.split('.').map(Number));
  return Uint8Array.from(groupsOf(address).flatMap((group) => [group >> 8, group & 255]));
}

const address = (bytes: Uint8Array): GeneralName =>
  new GeneralName({ type: 7, value: new OctetString({ valueHex: bufferOf(bytes) }) });
const dnsName = (name: string): GeneralName => new GeneralName({ type: 2, value: name });

function generalName(name: string): GeneralName {
  return isIP(name) > 0 ? address(addressBytes(name)) : dnsName(name);
}

/** Whether a constraint covers a name or an address: RFC 5280, section 4.2.1.10. */
function covers({ type, value }: GeneralName, name: string): boolean {
  if (isIP(name) === 0) return type === 2 && (name === value || name.endsWith(`.${value}`));
  if (type !== 7) return false;
  const [range, bytes] = [(value as OctetString).valueBlock.valueHexView, addressBytes(name)];
  return (
    range.length === 2 * bytes.length &&
    bytes.every((byte, i) => (byte & range[bytes.length + i]) === range[i])
  );
}

/** What every authority may vouch for. */
const always = (): GeneralName[] => [
  ...PRIVATE.map((hex) => address(Buffer.from(hex, 'hex'))),
  ...PRIVATE_NAMES.map(dnsName),
];

/** True for a name or an address that no public server has. */
export function isPrivate(name: string): boolean {
  return always().some((base) => covers(base, name));
}

/** Which of the names the authority may vouch for. @param cert of the authority, PEM */
export function permittedOf(cert: string, names: readonly string[]): string[] {
  const { extensions = [] } = Certificate.fromBER(bufferOf(derOf(cert)));
  const value = extensions.find(({ extnID }) => extnID === OID.constraints)?.parsedValue;
  const permitted = value instanceof NameConstraints ? (value.permittedSubtrees ?? []) : [];
  return names.filter((name) => permitted.some(({ base }) => covers(base, name)));
}

/** What the authority may vouch for. */
function constraints(names: readonly string[]): NameConstraints {
  const given = names.map((name) => {
    if (isIP(name) === 0) return dnsName(name);
    const bytes = addressBytes(name);
    return address(Uint8Array.from([...bytes, ...bytes.map(() => 255)]));
  });
  const permittedSubtrees = [...always(), ...given].map((base) => new GeneralSubtree({ base }));
  return new NameConstraints({ permittedSubtrees });
}

function extension(
  extnID: string,
  critical: boolean,
  value: { toSchema(): { toBER(): ArrayBuffer } },
): Extension {
  return new Extension({ extnID, critical, extnValue: value.toSchema().toBER() });
}

function usage(bits: number): Extension {
  const unusedBits = Math.clz32(bits & -bits) === 31 ? 0 : 31 - Math.clz32(bits & -bits);
  const value = new BitString({ unusedBits, valueHex: bufferOf(Uint8Array.of(bits)) });
  return new Extension({ extnID: OID.keyUsage, critical: true, extnValue: value.toBER() });
}

function titled(certificate: Certificate, which: 'subject' | 'issuer', text: string): void {
  certificate[which].typesAndValues.push(
    new AttributeTypeAndValue({ type: OID.commonName, value: new PrintableString({ value: text }) }),
  );
}

function time(ms: number): Time {
  const value = new Date(ms);
  return new Time({ value, type: value.getUTCFullYear() < GENERALIZED_FROM ? 0 : 1 });
}

function blank(subject: string, issuer: string, [fromMs, toMs]: [number, number]): Certificate {
  const serial = webcrypto.getRandomValues(new Uint8Array(16));
  // Positive, and without a leading zero.
  serial[0] = (serial[0] & 0x3f) | 0x40;
  const certificate = new Certificate();
  certificate.version = 2;
  certificate.serialNumber = new Integer({ valueHex: bufferOf(serial) });
  titled(certificate, 'subject', subject);
  titled(certificate, 'issuer', issuer);
  certificate.notBefore = time(fromMs);
  certificate.notAfter = time(toMs);
  return certificate;
}

function pem(label: string, der: ArrayBuffer): string {
  const lines = Buffer.from(der)
    .toString('base64')
    .replace(/(.{64})/g, '$1\n')
    .trimEnd();
  return `-----BEGIN ${label}-----\n${lines}\n-----END ${label}-----\n`;
}

function derOf(text: string): Buffer {
  return Buffer.from(text.replace(/-----[^-]+-----|\s/g, ''), 'base64');
}

const newKeys = () => webcrypto.subtle.generateKey(CURVE, true, ['sign', 'verify']);
type Keys = Awaited<ReturnType<typeof newKeys>>;

/** Names a key: RFC 7093 (2013), section 2, method 1. */
function keyName({ subjectPublicKeyInfo }: Certificate): OctetString {
  const bits = subjectPublicKeyInfo.subjectPublicKey.valueBlock.valueHexView;
  const name = createHash('sha256').update(bits).digest().subarray(0, 20);
  return new OctetString({ valueHex: bufferOf(name) });
}

async function finished(certificate: Certificate, own: Keys, signer: webcrypto.CryptoKey): Promise<KeyPair> {
  await certificate.sign(signer as CryptoKey, 'SHA-256', engine);
  const key = await webcrypto.subtle.exportKey('pkcs8', own.privateKey);
  return { cert: pem('CERTIFICATE', certificate.toSchema(true).toBER()), key: pem('PRIVATE KEY', key) };
}

/** A new authority. @param names beside private ones, for which it may vouch; nowMs civil time, UTC ms */
export async function newAuthority(site: string, names: readonly string[], nowMs: number): Promise<KeyPair> {
  const keys = await newKeys();
  const title = `Nightproof ${site}`;
  // Begins before any time that it could be now, so that it outlives the clock of its first day, whatever that said.
  const life: [number, number] = [OLDEST_MS, Math.max(nowMs, OLDEST_MS) + AUTHORITY_DAYS * DAY_MS];
  const certificate = blank(title, title, life);
  await certificate.subjectPublicKeyInfo.importKey(keys.publicKey as CryptoKey, engine);
  certificate.extensions = [
    new Extension({ extnID: OID.ownKey, critical: false, extnValue: keyName(certificate).toBER() }),
    extension(OID.basicConstraints, true, new BasicConstraints({ cA: true, pathLenConstraint: 0 })),
    usage(SIGNS_CERTIFICATES),
    extension(OID.constraints, true, constraints(names)),
  ];
  return finished(certificate, keys, keys.privateKey);
}

/** A certificate of the authority for a server with these names and addresses. */
export async function newServerPair(
  authority: KeyPair,
  names: readonly string[],
  nowMs: number,
): Promise<KeyPair> {
  const keys = await newKeys();
  const own = Certificate.fromBER(bufferOf(derOf(authority.cert)));
  const signer = await webcrypto.subtle.importKey('pkcs8', derOf(authority.key), CURVE, false, ['sign']);
  // Clocks of phones differ by some minutes, those of hosts sometimes by hours.
  const life: [number, number] = [nowMs - DAY_MS, nowMs + SERVER_DAYS * DAY_MS];
  const certificate = blank('Nightproof page', '', life);
  certificate.issuer = own.subject;
  await certificate.subjectPublicKeyInfo.importKey(keys.publicKey as CryptoKey, engine);
  const authorityKey = new AuthorityKeyIdentifier({ keyIdentifier: keyName(own) });
  const altNames = new GeneralNames({ names: names.map(generalName) });
  certificate.extensions = [
    extension(OID.authorityKey, false, authorityKey),
    extension(OID.basicConstraints, true, new BasicConstraints({ cA: false })),
    usage(SIGNS),
    extension(OID.extendedUsage, false, new ExtKeyUsage({ keyPurposes: [OID.serverAuth] })),
    extension(OID.names, false, altNames),
  ];
  return finished(certificate, keys, signer);
}
