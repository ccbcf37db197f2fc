// Requests to time stamp servers and their replies: RFC 3161 (2001), sections 2.4.1 and 2.4.2.
import { fromBER, Integer, OctetString } from 'asn1js';
import {
  AlgorithmIdentifier,
  ContentInfo,
  MessageImprint,
  PKIStatus,
  SignedData,
  TimeStampReq,
  TimeStampResp,
  TSTInfo,
} from 'pkijs';
import { FormatError, sameBytes } from './bytes';

/** SHA-256, RFC 5754 (2010), section 2.2. */
const SHA_256 = '2.16.840.1.101.3.4.2.1';

/** What a time stamp holds: RFC 3161, section 2.4.2. */
const TST_INFO = '1.2.840.113549.1.9.16.1.4';
/** Signed data: RFC 5652 (2009), section 5.1. */
const SIGNED_DATA = '1.2.840.113549.1.7.2';

const buffer = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;

/**
 * A request in DER that asks for the server's certificate too.
 * @param digest SHA-256 of the data
 * @param nonce random bytes, the first below 0x80 and not 0
 */
export function timeStampRequest(digest: Uint8Array, nonce: Uint8Array): Uint8Array {
  const request = new TimeStampReq({
    version: 1,
    messageImprint: new MessageImprint({
      hashAlgorithm: new AlgorithmIdentifier({ algorithmId: SHA_256 }),
      hashedMessage: new OctetString({ valueHex: buffer(digest) }),
    }),
    nonce: new Integer({ valueHex: buffer(nonce) }),
    certReq: true,
  });
  return new Uint8Array(request.toSchema().toBER());
}

/** The reply as it is encoded. @throws FormatError if bytes come after it, which no signature covers */
function responseOf(reply: Uint8Array): TimeStampResp {
  const { offset, result } = fromBER(buffer(reply));
  if (offset < 0) throw new Error(result.error);
  const response = new TimeStampResp({ schema: result });
  if (offset !== reply.length)
    throw new FormatError(`${reply.length - offset} bytes follow it that do not belong to it`);
  return response;
}

function infoOf(reply: Uint8Array): TSTInfo {
  const response = responseOf(reply);
  const { status, statusStrings } = response.status;
  if (status !== PKIStatus.granted && status !== PKIStatus.grantedWithMods) {
    const why = statusStrings?.map(({ valueBlock }) => valueBlock.value).join(' ') ?? '';
    throw new FormatError(`it was refused${why === '' ? '' : `: ${why.slice(0, 200)}`}`);
  }
  if (!response.timeStampToken) throw new FormatError('it holds no time stamp');
  const token = new ContentInfo({ schema: response.timeStampToken.toSchema() });
  if (token.contentType !== SIGNED_DATA) throw new FormatError('it holds no signed time stamp');
  const { eContentType, eContent } = new SignedData({ schema: token.content }).encapContentInfo;
  if (eContentType !== TST_INFO || !eContent) throw new FormatError('what is signed in it is no time stamp');
  return TSTInfo.fromBER(eContent.getValue());
}

/**
 * Time of a granted stamp over this digest, UTC second. The server's signature is left to `openssl ts -verify`, which
 * knows whom to trust.
 * @throws FormatError with the rest of a sentence if the reply is refused, unreadable, or about anything else
 */
export function stampedTime(reply: Uint8Array, digest: Uint8Array, nonce?: Uint8Array): number {
  let info: TSTInfo;
  try {
    info = infoOf(reply);
  } catch (error) {
    if (error instanceof FormatError) throw error;
    throw new FormatError('it is not a reply of a time stamp server');
  }
  const { hashAlgorithm, hashedMessage } = info.messageImprint;
  const stamped = new Uint8Array(hashedMessage.valueBlock.valueHexView);
  if (hashAlgorithm.algorithmId !== SHA_256 || !sameBytes(stamped, digest))
    throw new FormatError('it is about other data');
  const echoed = info.nonce && new Uint8Array(info.nonce.valueBlock.valueHexView);
  if (nonce && !(echoed && sameBytes(echoed, nonce))) throw new FormatError('it answers another request');
  return Math.floor(info.genTime.getTime() / 1000);
}
