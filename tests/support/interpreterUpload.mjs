// Sends one file to an interpreter on a serial port with the npm package `espruino`, as a technician would:
//   node interpreterUpload.mjs PORT BAUD FILE [STORAGE-NAME]
// Without a name the file becomes the boot code. It is not started: a port that loses bytes may have damaged it, and
// damaged boot code need not leave the console free to mend it. The package's library is used, not its command,
// because the command opens only the ports that the system lists, which a pseudo-terminal never is.
// It runs in a process of its own, because the package changes the globals of the one it runs in.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const SAVE_AS_BOOT_CODE = 1;
const SAVE_AS_FILE = 3;
const LOAD_NOTHING = 0;

const [port, baud, file, name] = process.argv.slice(2);
const { log } = console;

function settle(config) {
  // Nothing is looked up on the network.
  Object.assign(config, { MODULE_URL: '', BOARD_JSON_URL: '', BLUETOOTH_LOW_ENERGY: false });
  Object.assign(config, { BAUD_RATE: baud, SET_TIME_ON_WRITE: false, SAVE_STORAGE_FILE: name });
  config.SAVE_ON_SEND = name ? SAVE_AS_FILE : SAVE_AS_BOOT_CODE;
  config.LOAD_STORAGE_FILE = LOAD_NOTHING;
}

/** Leaves the tool one way to connect, through this port: the others search for wireless devices. */
function choosePort(serial) {
  const wired = serial.devices.find((device) => device.name === 'Node Serial');
  wired.getPorts = (found) => found([{ path: port }], true);
  serial.devices.splice(0, serial.devices.length, wired);
}

function send(tool) {
  tool.callProcessor('transformForEspruino', readFileSync(file, 'latin1'), (code) => {
    tool.Core.CodeWriter.writeToEspruino(code, () => {
      // The board still answers.
      setTimeout(() => process.exit(0), 1000);
    });
  });
}

console.log = () => {};
createRequire(import.meta.url)('espruino').init(() => {
  const tool = globalThis.Espruino;
  settle(tool.Config);
  choosePort(tool.Core.Serial);
  tool.Core.Serial.startListening(() => {});
  tool.Core.Serial.open(
    port,
    (connected) => {
      if (connected) return send(tool);
      log(`The port ${port} cannot be opened.`);
      process.exit(1);
    },
    () => process.exit(1),
  );
});
