// Replaces a site file in a folder that cannot be opened for reading, so that its list of names cannot be synced: file,
// new text.
import { chmodSync, chownSync, readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { saveSiteText } from '../../../host/siteDoor/file';

const NOBODY = 65534;
const [, , file, text] = process.argv;
const folder = dirname(file);
const before = readFileSync(file, 'utf8');
// Its owner may search it and write to it. The rights bind everybody but root.
if (process.getuid?.() === 0) for (const path of [folder, file]) chownSync(path, NOBODY, NOBODY);
chmodSync(folder, 0o300);
if (process.getuid?.() === 0) process.seteuid?.(NOBODY);
saveSiteText(file, before, text);
