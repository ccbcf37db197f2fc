// A file of accounts as it was written before there were tokens, passkeys and buildings: the bytes of a real one. In it are
// zoe, who signs in with "five llamas hum at dusk" and has a session, and ida, whose making the log book does not have yet.
import { gunzipSync } from 'node:zlib';

const PACKED = `
H4sIAAAAAAACA+3cXU/bVhgHcBtCAiyUCgnRFXU6ytBepGzze+xOaAs0a9OmSQmBjt2gY58T4hJsZhtCQVy4u9pHmXa1611O+wDd
9T7M7JDAUkCdxMU67f/T8UseO87z2FEkH0dnfa3mRpy0/WCPRkQVbguiKHxNiCAI2WTKCRcyg2lIHK7Un5VXhatlhc8Pf5y59ZWQ
zb8WZmduPZwJb93Ov555LAAAAAAAANxUbyK3MD8vxmsRtbvc73GWTtnVZqXcqpBWeaVWIWmEfDJNiEeq9VblYaVJnjWrT8vNLfKk
slUkLiMrtcYKqTdapL5Rq5GNenVto1Ik3IuCl6Pbpj8l661mdbX1cTa78OW8KLge40fh993ktmqbHkR+//V2+pHbcjrPxXfHcwuL
i+Kr9/opMn7oOjwcLDIjiQ6C/VyTpK5MtkPDzjXpUsfxD7xodGsSjs6PdKmKzzLZhfLidVUM8tmWBysTyQmfTM96vDqWW7h3T3y1
1a8p5GHo+l44XI6PVDWM9su6SH+kqmtSt/kO9S5lXyQHIWdXhPcD//CKDefVFsnzautRY6NFmo3n1Qfxvtiv4ge1X8Ugh3C4HBup
YhgdXpzLNXh0j79ZQOB3L8WYG/a/CJcLSI68T8Ow5wfszTc5PuNXxbaTnNzuPy55Orl4Y7N3hNk7syf48QAAAAAAAID/G3tq7m5h
Kh/nMy6jVUZJIwh4lztR4Dou9XRu2NTglmpRVWd6Wyk5kiJJpmmbMmtbkmNoJarJzDK5Rk3bVttaqWTa1OTccGTKdqt/CPH41NwH
H03G9fzksc+/83/7mfweH+xStud6bhgFNPKDJRrs+J7isqXDZdla2ktmmm4Uo2WluL8sL5XWlfWtb558Ue1FDdMPHeXItLo7S2qX
tTubPclzeUdqr+3qjzeO5E5p89u1nlsra5VHtRfKC6XcU4NKev8vzv4kJA0AAAAAAAAA/m2buTg/l8lkZGaYXOeOocmyo1PHdhxu
G6ois7ZkyqbBNFu2VKOkqCXD1FWV65JJJUWhkqFxbvFjn6edD8Nppn///4uQNAAAAAAAAAB4VzwVs0LaE6Dompbc/msqc7jlMEbb
VJGskmZLdomq6d8QSoZOuWIp1LAtQ1N0XdZM5ijcYJJm0UE/wNnz/1+FpAEAAAAAAADAu+dBJs5P3bQb4Oz5PxOSBgAAAAAAAAA3
EL8vTgi1OJLe4qRgvyzcPym4rHC/cOzzQrGQDiGYvDgfHKBwWiw4Hert8HTHwRCEyQ4uoxd7D4YrSALpaINJ4G8DFyRB1j/+HmW8
cHp69vz/TyFpAAAAAAAAAPAf9OF4beptfQ5/AcM7vWYAcAAA
`;

export const OLDER_FILE = gunzipSync(Buffer.from(PACKED, 'base64'));
/** Cookie of the session. */
export const OLDER_COOKIE = 'a cookie';
