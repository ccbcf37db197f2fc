// Installs what is missing before a command runs: npm packages, and with --tests or --engine the programs of
// Debian that the tests drive. Plain Node, no packages. Silent when all is there; speaks on stderr only, because
// the command that follows may print JSON.
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync, readFileSync } from 'node:fs';
import { delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = dirname(dirname(fileURLToPath(import.meta.url)));
const NODE_MAJOR_MIN = 20;

/** Debian package by the program it brings, for each kind of tests. */
const PROGRAMS = {
  '--tests': {
    mosquitto: 'mosquitto',
    pg_ctlcluster: 'postgresql',
    'rabbitmq-server': 'rabbitmq-server',
    duk: 'duktape',
    chromium: 'chromium',
    ngspice: 'ngspice',
    socat: 'socat',
    knxd: 'knxd',
    knxtool: 'knxd-tools',
    openssl: 'openssl',
    gcc: 'build-essential',
    Rscript: 'r-cran-survival',
    pdftotext: 'poppler-utils',
  },
  '--engine': {},
};

/** The real interpreter, where it lies beside this folder: both kinds of tests use it. */
const INTERPRETER = join(ROOT, '../shared/engine/bin/interpreter-5100');
const MCU = join(ROOT, '../shared/engine/mcu/stm32f405.elf');

function say(text) {
  process.stderr.write(`${text}\n`);
}

function giveUp(sentence) {
  say(sentence);
  process.exit(1);
}

/** Runs a program, its complaints on stderr; true when it succeeded. */
function run(command, args) {
  return spawnSync(command, args, { cwd: ROOT, stdio: ['ignore', 'ignore', 2] }).status === 0;
}

function readLock(file) {
  try {
    return JSON.parse(readFileSync(join(ROOT, file), 'utf8')).packages;
  } catch {
    return {};
  }
}

/**
 * Whether node_modules holds every package of package-lock.json in its version. npm leaves its own list
 * there when an installation is complete; packages for other platforms are optional and may be absent.
 */
function packagesMatch() {
  const wanted = readLock('package-lock.json');
  const present = readLock('node_modules/.package-lock.json');
  return Object.entries(wanted).every(([path, entry]) => {
    if (path === '') return true;
    const found = present[path];
    return found ? found.version === entry.version : Boolean(entry.optional);
  });
}

function installPackages() {
  if (packagesMatch()) return;
  say('Installing the npm packages of package-lock.json; this takes a minute the first time.');
  // The scripts of packages compile drivers for radios and ports that nothing here uses.
  if (!run('npm', ['ci', '--include=dev', '--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error']))
    giveUp(
      'The npm packages could not be installed. Check the network, then run `npm ci` here and read its messages.',
    );
}

function isInstalled(program) {
  // Debian keeps mosquitto in /usr/sbin, which is not on everybody's path.
  const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin'];
  return folders.some((folder) => {
    try {
      accessSync(join(folder, program), constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });
}

/** The command by which this user may install packages; undefined when there is no apt-get or no right to use it. */
function aptGet() {
  if (!isInstalled('apt-get')) return undefined;
  const command = ['env', 'DEBIAN_FRONTEND=noninteractive', 'apt-get', '-qq'];
  if (process.getuid?.() === 0) return command;
  const maySudo = spawnSync('sudo', ['-n', 'true'], { stdio: 'ignore' }).status === 0;
  return maySudo ? ['sudo', '-n', ...command] : undefined;
}

function missingPackages(programs) {
  return Object.keys(programs)
    .filter((program) => !isInstalled(program))
    .map((program) => programs[program]);
}

/** What the tests on the interpreter need. A kernel without 32-bit programs runs it through an emulator. */
function interpreterPrograms() {
  const mcu = existsSync(MCU) ? { 'qemu-system-arm': 'qemu-system-arm', mosquitto: 'mosquitto' } : {};
  return { ...mcu, ...desktopPrograms() };
}

function desktopPrograms() {
  if (!existsSync(INTERPRETER)) return process.env.ESPRUINO_BIN ? { socat: 'socat' } : {};
  const { stdout, stderr } = spawnSync(INTERPRETER, ['--help'], { encoding: 'latin1', input: '' });
  const runs = `${stdout}${stderr}`.includes('espruino');
  return runs ? { socat: 'socat' } : { socat: 'socat', 'qemu-i386': 'qemu-user' };
}

function installPrograms(programs) {
  const missing = missingPackages(programs);
  if (missing.length === 0) return;
  const apt = aptGet();
  if (apt) {
    say(`Installing for the tests: ${missing.join(', ')}.`);
    const [command, ...args] = apt;
    run(command, [...args, 'update']);
    run(command, [...args, 'install', '-y', '--no-install-recommends', ...missing]);
  }
  const left = missingPackages(programs);
  if (left.length > 0)
    giveUp(
      `The tests need ${left.join(', ')}: install with \`sudo apt-get install ${left.join(' ')}\`, then try again.`,
    );
}

if (Number(process.versions.node.split('.')[0]) < NODE_MAJOR_MIN)
  giveUp(`Node ${NODE_MAJOR_MIN} or newer is needed; this is ${process.versions.node}.`);
installPackages();
for (const [kind, programs] of Object.entries(PROGRAMS))
  if (process.argv.includes(kind)) installPrograms({ ...programs, ...interpreterPrograms() });
