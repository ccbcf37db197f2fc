// The driver in use. The build replaces this file's text with the driver the board names
// (firmware/build/driver.ts).
export * from './none';
