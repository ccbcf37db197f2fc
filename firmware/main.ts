// Wires core, board and link together and runs the loop. Control loop, watchdog and relay pulse share one
// interval: whatever stops it lets the relay drop out.
import { type ChipWiring, chipTime, setChipTime, setUpClockChip } from './board/clockChip/chosen';
import { type BoardConfig, fromHex, loadConfig } from './board/config';
import { boardFlash, countJournal, setUpFlash } from './board/flash';
import { type AdcWiring, readLamps, setUpLamps } from './board/lamps/chosen';
import { boardNet, type NetWiring, netTurn, setUpNet } from './board/net/chosen';
import { drive, pulse, setUpRelay } from './board/relay';
import { boardSelfTest, setUpSelfTest } from './board/selfTest';
import { readInputs, setUpSenses, showRed } from './board/senses';
import {
  armWatchdog,
  boardBootCause,
  boardEntropy,
  boardNow,
  boardSha256,
  feedWatchdog,
  setUpClock,
  setUpHash,
  shutConsole,
} from './board/system';
import { Ending } from './contract/codes';
import { Limit } from './contract/limits';
import {
  type Controller,
  coreTurn,
  isLinkApart,
  LOOP_MS,
  linkClosed,
  linkData,
  linkHalfTurn,
  linkOpened,
  mayStandStill,
  newController,
} from './controller';
import type { BoardPort } from './ports';

/** Consecutive failed turns after which the watchdog is no longer fed. */
const FAILURES_MAX = 3;

let controller: Controller;
let nonce = 0;
let failures = 0;
let broken = false;

function fail(): void {
  failures++;
  drive(0, 0, Ending.All);
}

/** The link's half of a turn that has read all lamps, on its own. */
function linkLater(): void {
  try {
    linkHalfTurn(controller);
    failures = 0;
  } catch (_error) {
    fail();
  }
}

function loop(): void {
  if (broken) return;
  pulse(boardNow());
  if (failures < FAILURES_MAX) feedWatchdog();
  try {
    coreTurn(controller);
    if (isLinkApart(controller)) setTimeout(linkLater, 0);
    else {
      linkHalfTurn(controller);
      failures = 0;
    }
  } catch (_error) {
    fail();
  }
  try {
    netTurn(boardNow());
  } catch (_error) {
    // The network is away; tests go on without it.
  }
}

/**
 * Out of memory, or the interval lost: these cannot be caught, but the interpreter reports them afterwards.
 */
function failed(flags: string[]): void {
  if (flags.indexOf('MEMORY') < 0 && flags.indexOf('CALLBACK') < 0) return;
  drive(0, 0, Ending.All);
  // Whatever is still running cannot be trusted: with no turns, the watchdog resets the board.
  broken = true;
}

// Not closures in `run`: those would keep the whole configuration in memory.
function opened(): void {
  linkOpened(controller);
}

function received(bytes: string): void {
  linkData(controller, bytes);
}

function closed(): void {
  linkClosed(controller);
}

function isQuiet(): boolean {
  return mayStandStill(controller);
}

/** Some boards' random numbers are the same after every start, so a new journal's name needs more than them. */
function entropy(): number {
  return boardEntropy() ^ nonce ^ (countJournal() << 20);
}

function boardOf(): BoardPort {
  return {
    now: boardNow,
    linkNow: boardNow,
    readInputs: readInputs,
    readLamps: readLamps,
    drive: drive,
    red: showRed,
    sha256: boardSha256,
    entropy: entropy,
    chipTime: chipTime,
    setChipTime: setChipTime,
    selfTest: boardSelfTest,
    bootCause: boardBootCause,
    flash: boardFlash,
    net: boardNet,
  };
}

function run(config: BoardConfig): void {
  setUpClock(config.resetRegister);
  setUpRelay(config.pins.relay, config.pins.enable);
  setUpHash();
  setUpLamps(config.adc as AdcWiring, config.pins);
  setUpSenses(config.pins);
  nonce = config.nonce;
  setUpFlash(config.journalBytes, config.storageAt);
  setUpNet(config.net as NetWiring, config.address, config.link.jitter, {
    opened: opened,
    data: received,
    closed: closed,
    isQuiet: isQuiet,
  });
  setUpClockChip(config.clockChip as ChipWiring | undefined);
  setUpSelfTest(config.programSum || '', readLamps);
  try {
    controller = newController(boardOf(), {
      address: config.address,
      secret: fromHex(config.secret),
      journalBytes: config.journalBytes,
      link: config.link,
    });
  } catch (error) {
    // Never fed, the watchdog starts the board again: what could not be read now may be read then.
    armWatchdog(Limit.WatchdogSec);
    throw error;
  }
  E.on('errorFlag', failed);
  armWatchdog(Limit.WatchdogSec);
  setInterval(loop, LOOP_MS);
}

function main(): void {
  shutConsole();
  const config = loadConfig();
  if (config === undefined)
    print('Nightproof: np.cfg is missing or damaged in flash; commission this board first.');
  else run(config);
}

main();
