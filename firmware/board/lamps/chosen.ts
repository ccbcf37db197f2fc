// The way of sensing in use. The build replaces this file's text for a board that names another one
// (firmware/build/driver.ts).
export * from './analogue';
