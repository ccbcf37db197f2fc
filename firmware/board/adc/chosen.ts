// The driver in use. The build replaces this text by the driver that the board names (firmware/build/driver.ts).
export * from './internal';
