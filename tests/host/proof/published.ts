// Notes, keys and requests published by others, byte for byte.

// golang/mod, sumdb/note/note_test.go at fe2ec04 (2026): TestSign, TestOpen.
export const GO_TEXT = `If you think cryptography is the answer to your problem,
then you don't know what your problem is.
`;
export const PETER = 'PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW';
/** From its PRIVATE+KEY, after the byte that names the algorithm. */
export const PETER_SEED = 'AYEKFALVFGyNhPJEMzD1QIDr+Y7hfZx09iUvxdXHKDFz';
export const PETER_LINE =
  '— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n';
export const ENOCH = 'EnochRoot+af0cfe78+ATtqJ7zOtqQtYqOo0CpvDXNlMhV3HeJDpjrASKGLWdop';
export const ENOCH_LINE =
  '— EnochRoot rwz+eBzmZa0SO3NbfRGzPCpDckykFXSdeX+MNtCOXm2/5n2tiOHp+vAF1aGrQ5ovTG01oOTGwnWLox33WWd1RvMc+QQ=\n';

// C2SP signed-note v1.0.0 (2025), section "Example".
export const C2SP_KEY = 'example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k';
export const C2SP_NOTE = `This is an example message.

— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=
`;

// transparency-dev/formats, note/note_cosigv1_test.go at 0b850f1 (2026): TestCoSigV1NewVerifier, TestCoSigV1Timestamp.
export const COSIGNER = 'remora.n621.de+da77ade7+BOvN63jn/bLvkieywe8R6UYAtVtNbZpXh34x7onlmtw2';
export const TIMED =
  'ZGhGuQAAAABm/qTPeyKXD+R2rzyQsxPiP8mXum7qq/iF0u4vanlqJyocWODBt97w9uL+8qT7S5gxEHWWOworDcFiEBYJXORmnFBOBA==';
export const TIMED_AT = 1727964367;

// C2SP tlog-witness v1.0.0 (2026) and tlog-checkpoint v1.0.0 (2025), their examples.
export const WITNESS_EXAMPLE = `old 20852014
PlRNCrwHpqhGrupue0L7gxbjbMiKA9temvuZZDDpkaw=
jrJZDmY8Y7SyJE0MWLpLozkIVMSMZcD5kvuKxPC3swk=
5+pKlUdi2LeF/BcMHBn+Ku6yhPGNCswZZD1X/6QgPd8=
/6WVhPs2CwSsb5rYBH5cjHV/wSmA79abXAwhXw3Kj/0=

example.com/behind-the-sofa
20852163
CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=
— example.com/behind-the-sofa opLqBQsREYCgu6xQkYQwJr9fo45a62DN9EdmHXnZdXNqlcVGlCum2Wks+49/V6267UEjw6QUXTS5Rovnzv++qbSzm9Q=
`;

// FiloSottile/torchwood, cmd/litewitness/testdata/litewitness.txt at 341dc2f (2025): a log of five entries, its key
// given as 32 bytes in hex, and what its witness was asked.
export const LOG_ORIGIN =
  'sigsum.org/v1/tree/4d6d8825a6bb689d459628312889dfbb0bcd41b5211d9e1ce768b0ff0309e562';
export const LOG_KEY_HEX = 'ffdc2d4d98e4124d3feaf788c0c2f9abfd796083d1f0495437f302ec79cf100f';

const heads: Record<number, [root: string, signature: string]> = {
  1: [
    'KgAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=',
    'UgIom7fPZTqpxWWhyjWduBvTvGVqsokMbqTArsQilegKoFBJQjUFAmQ0+YeSPM3wfUQMFSzVnnNuWRTYrajXpNUbIQY=',
  ],
  3: [
    'RcCI1Nk56ZcSmIEfIn0SleqtV7uvrlXNccFx595Iwl0=',
    'UgIom2VbtIcdFbwFAy1n7s6IkAxIY6J/GQOTuZF2ORV39d75cbAj2aQYwyJre36kezNobZs4SUUdrcawfAB8WVrx6go=',
  ],
  5: [
    'QrtXrQZCCvpIgsSmOsah7HdICzMLLyDfxToMql9WTjY=',
    'UgIomw/EOJmWi0i1FQsOj+etB7F8IccFam/jgd6wzRns4QPVmyEZtdvl1U2KEmLOZ/ASRcWJi0tW90dJWAShei7sDww=',
  ],
};

/** The log's signed checkpoint of 1, 3 or 5 entries. */
export function logCheckpoint(size: number, signature = heads[size][1], origin = LOG_ORIGIN): string {
  return `${origin}\n${size}\n${heads[size][0]}\n\n— ${origin} ${signature}\n`;
}

const A = 'KgEAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=';
const B = 'KgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=';
const C = 'KgQAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=';
const D = 'KgMAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=';

/** Its consistency proofs. */
export const FROM_1_TO_3 = [A, B];
export const FROM_1_TO_5 = [A, '+fUDV+k970B4I3uKrqJM4aP1lloPZP8mvr2Z4wRw2LI=', C];
export const FROM_3_TO_5 = [B, D, 'wgiIFdZfYNv6WU1OllBKsWnLYIS/DBMqt8Uh/S4OukE=', C];
/** One bit away from the proof from 1 to 3. */
export const NOT_FROM_1_TO_3 = [A, 'KgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAABA='];

/** A request as those tests write it. */
export function ask(oldSize: number, proof: readonly string[], checkpoint: string): string {
  return [`old ${oldSize}`, ...proof, '', checkpoint].join('\n');
}
