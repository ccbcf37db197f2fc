// Authorities and certificates made by openssl, as docs/operating.md says.
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';

const KEY = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes'];

/** Makes `NAME.pem` and `NAME.key` in a folder. */
export function certificatesIn(folder: string) {
  const openssl = (...words: string[]) => execFileSync('openssl', words, { cwd: folder, stdio: 'pipe' });
  return {
    makeAuthority(name: string): void {
      const files = ['-keyout', `${name}.key`, '-out', `${name}.pem`];
      openssl('req', '-x509', ...KEY, '-days', '30', '-subj', `/CN=${name}`, ...files);
    },
    /** A certificate of `authority`, for 127.0.0.1. @param days how long it is good; 0 for one that has ended */
    makeCertificate(name: string, authority: string, days = 30): void {
      openssl('req', ...KEY, '-subj', `/CN=${name}`, '-keyout', `${name}.key`, '-out', `${name}.csr`);
      writeFileSync(join(folder, 'san.cnf'), 'subjectAltName = IP:127.0.0.1\n');
      const by = ['-CA', `${authority}.pem`, '-CAkey', `${authority}.key`, '-CAcreateserial'];
      const how = ['-extfile', 'san.cnf', '-days', String(days)];
      openssl('x509', '-req', '-in', `${name}.csr`, ...by, ...how, '-out', `${name}.pem`);
    },
  };
}
