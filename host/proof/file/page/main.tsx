// The verifier inside a proof file. It needs no network and knows nothing but the text beside it.
import { render } from 'preact';
import { App } from './app';
import './style.css';

const root = document.getElementById('app');
const proof = document.getElementById('proof');
if (root && proof) {
  root.textContent = '';
  // The text begins after the line break behind the tag.
  render(<App text={(proof.textContent ?? '').replace(/^\n/, '')} />, root);
}
