// The verifier inside a proof file. It needs no network and knows nothing but the text beside it.
import { render } from 'preact';
import { App } from './app';
import { linesOfPage } from './lines';
import './style.css';

const root = document.getElementById('app');
const proof = document.getElementById('proof');
if (root && proof) {
  root.textContent = '';
  render(<App lines={linesOfPage(proof)} />, root);
}
