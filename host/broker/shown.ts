// Whether the certificate that a client showed when it connected is still good.
import { X509Certificate } from 'node:crypto';
import type { DetailedPeerCertificate, TLSSocket } from 'node:tls';

/** What a client showed, from its own certificate to the authority's. */
export function shownBy(socket: TLSSocket): X509Certificate[] {
  const chain: X509Certificate[] = [];
  let next: DetailedPeerCertificate | undefined = socket.getPeerCertificate(true);
  // The authority's names itself as its own issuer.
  const known = new Set<DetailedPeerCertificate>();
  while (next?.raw && !known.has(next)) {
    known.add(next);
    chain.push(new X509Certificate(next.raw));
    next = next.issuerCertificate;
  }
  return chain;
}

/** @param pem of one or more authorities */
export function authoritiesIn(pem: string): X509Certificate[] {
  const blocks = pem.match(/-----BEGIN CERTIFICATE-----[^-]+-----END CERTIFICATE-----/g) ?? [];
  return blocks.map((block) => new X509Certificate(block));
}

const hasEnded = ({ validTo }: X509Certificate, nowMs: number): boolean => Date.parse(validTo) < nowMs;
const isFrom = (cert: X509Certificate, by: X509Certificate): boolean =>
  cert.checkIssued(by) && cert.verify(by.publicKey);

/**
 * Why it is no longer good, as a sentence goes on; '' if it is.
 * @param nowMs civil time, UTC ms
 */
export function whyNoLonger(
  chain: readonly X509Certificate[],
  authorities: readonly X509Certificate[],
  nowMs: number,
): string {
  // The authority may have been made anew, with the same name and key.
  const own = chain.filter((cert, n) => n === 0 || !isFrom(cert, cert));
  if (own.some((cert) => hasEnded(cert, nowMs))) return "the client's certificate has ended";
  const isVouchedFor = own.some((cert) => authorities.some((by) => !hasEnded(by, nowMs) && isFrom(cert, by)));
  return isVouchedFor ? '' : "the client's certificate is no longer of an authority that counts";
}
