// What the watch stands on: a list for the first use, what `gylekeeper check` finds, sensors, messages that were not used, and the
// ways alerts take.
import { bdi, h, marked, replaceContent, toast } from './dom.js';
import { showBar } from './bar.js';
import { caution, lines, query } from './fields.js';
import { act, ask, askAll, sentence } from './session.js';
import { field, openForm, openSheet } from './sheet.js';
import * as show from './show.js';

export class SetupPage {
  name = 'setup';

  title = 'Setup';

  constructor(place) { this.place = place; }

  async refresh(cellar) {
    showBar(null);
    const [sensors, facts] = await Promise.all([askAll('/v1/sensors', 'sensors'), setupFacts()]);
    const { check, channels, refusals } = facts;
    if (!this.place.querySelector('.setup')) this.place.replaceChildren(h('div', { class: 'setup' }));
    const writes = !show.settings().read_only;
    replaceContent(this.place.firstElementChild, h('h1', null, 'Setup'), firstUse(cellar, facts), findings(check),
      h('section', { class: 'card' }, h('h2', null, 'Sensors'), sensors.length === 0 && h('p', null, 'None has been heard yet.'),
        h('ul', { class: 'entries' }, sensors.map((one) => sensorRow(one, writes))),
        writes && h('div', { class: 'row' }, h('button', { type: 'button', 'data-key': 'map', onclick: () => mapTopic('', '') }, 'Map a topic'))),
      h('section', { class: 'card' }, h('h2', null, 'Messages that were not used'), h('p', null, refusals.lines[0]),
        h('ul', { class: 'entries' }, refusals.newest.map((one, i) => h('li', null, h('p', { class: 'label' }, `${show.moment(show.seconds(one.received))} · `, bdi(one.topic)),
          h('p', null, sentence(one.detail)), one.head && h('p', { class: 'hint wrap' }, 'It began: ', h('code', null, one.head)),
          writes && h('div', { class: 'row' }, mapButton(one, `map-${i}`)))))),
      h('section', { class: 'card' }, h('h2', null, 'Where alerts go'), channels.length === 0 && h('p', null, 'Only into the log. A channel is a [[channel]] block of gylekeeper.toml.'),
        h('ul', { class: 'entries' }, channels.map((one) => channelRow(one, writes)))));
  }
}

// What the first use is judged by: {check, channels, refusals}.
export async function setupFacts() {
  const [check, { channels }, refusals] = await Promise.all([ask('/v1/check'), ask('/v1/channels'), ask('/v1/refusals?limit=10')]);
  return { check, channels, refusals };
}

const finding = ({ text, to_do: toDo }) => [marked(text), toDo && h('span', { class: 'hint' }, ' ', marked(toDo))];

// The same as `gylekeeper check` of the daemon: what is wrong, what is worth a look, and, folded, what is right.
function findings({ checks }) {
  const of = (verdict) => checks.filter((one) => one.verdict === verdict);
  const [wrong, look, right] = [of('wrong'), of('look'), of('right')];
  const list = (some) => h('ul', { class: 'entries' }, some.map((one) => h('li', null, h('p', { class: 'label' }, one.part), h('p', { class: 'wrap' }, finding(one)))));
  return h('section', { class: 'card checks' }, h('h2', null, 'Check'), h('p', { class: 'hint' }, wrong.length > 0 ? `${wrong.length} to correct` : 'Nothing is wrong'),
    wrong.length > 0 && list(wrong),
    look.length > 0 && h('details', { 'data-key': 'look' }, h('summary', { 'data-key': 'look-sum' }, `${look.length} worth a look`), list(look)),
    right.length > 0 && h('details', { 'data-key': 'right' }, h('summary', { 'data-key': 'right-sum' }, `${right.length} right`), list(right)));
}

const mapButton = ({ topic, head }, key) => h('button', { type: 'button', 'data-key': key, 'aria-label': `Map this topic: ${topic}`, onclick: () => mapTopic(topic, head) }, 'Map this topic');

// Text for gylekeeper.toml. What is shown over the network without TLS has no clipboard; then it is selected by a tap.
function paste(block) {
  return [h('pre', { tabindex: 0, class: 'paste' }, block), navigator.clipboard && h('div', { class: 'row' },
    h('button', { type: 'button', 'data-key': `copy-${block}`, onclick: () => navigator.clipboard.writeText(block).then(() => toast('Copied.'), () => toast('It could not be copied: select it.', true)) }, 'Copy'))];
}
const quoted = (text) => JSON.stringify(text).replaceAll('\u007f', '\\u007f');
const vesselBlock = (sensors) => `[[vessel]]\nname = "left"\nsensors = [${sensors.map((one) => quoted(one.sensor)).join(', ')}]\n`;

function sensorRow(sensor, writes) {
  const inclined = sensor.newest.some((one) => one.quantity === 'inclination');
  return h('li', null, h('p', null, h('strong', null, bdi(sensor.sensor)), sensor.vessel ? [' in ', bdi(sensor.vessel)] : ', in no vessel'), lines(sensor.lines.slice(1)),
    !sensor.vessel && h('details', { 'data-key': `vessel-${sensor.sensor}` }, h('summary', { 'data-key': `vessel-sum-${sensor.sensor}` }, 'Put it in a vessel'),
      h('p', { class: 'hint' }, 'Paste this into gylekeeper.toml, or its id into the list of a vessel that is there, and restart the daemon.'), paste(vesselBlock([sensor]))),
    writes && h('div', { class: 'row' },
      inclined && h('button', { type: 'button', 'data-key': `cal-${sensor.sensor}`, 'aria-label': `Calibrate ${sensor.sensor}`, onclick: () => calibrate(sensor) }, 'Calibrate'),
      // Listed again when it is next heard, so there is nothing to undo.
      !sensor.vessel && h('button', { type: 'button', 'data-key': `forget-${sensor.sensor}`, 'aria-label': `Forget ${sensor.sensor}`, onclick: () => act(`/v1/sensors/${encodeURIComponent(sensor.sensor)}`, { gone: true }) }, 'Forget')));
}

function channelRow(channel, writes) {
  const { name, kind, waiting, refused } = channel;
  return h('li', null, h('p', null, h('strong', null, bdi(name)), ` · ${kind}`),
    h('p', { class: 'hint' }, channel.delivered_last ? `Last delivered ${show.moment(show.seconds(channel.delivered_last))}.` : 'Nothing was delivered there yet.',
      waiting > 0 && ` ${waiting} waiting.`, refused > 0 && ` ${refused} refused.`),
    channel.trouble && caution(sentence(channel.trouble)),
    writes && h('div', { class: 'row' },
      h('button', { type: 'button', 'data-key': `test-${name}`, 'aria-label': `Send a test to ${name}`, onclick: () => act(`/v1/channels/${encodeURIComponent(name)}/test`, { done: 'A test message is on its way.' }) }, 'Send a test'),
      refused > 0 && h('button', { type: 'button', onclick: () => act(`/v1/channels/${encodeURIComponent(name)}/retry`) }, 'Send the refused again')));
}

// Ticks itself off, as things come true. Where something is wrong it says what the check says.
export function firstUse({ daemon, display, vessels, loose_sensors: loose, batches, packaged }, { check, channels, refusals }) {
  const writes = !display.read_only;
  const wrong = (part) => check.checks.filter((one) => one.part === part && one.verdict === 'wrong');
  const [sensors, vessel] = [wrong('sensors'), vessels.length === 0 ? wrong('sensors').slice(0, 1) : []];  // that there is none comes first
  const unheard = sensors.filter((one) => !vessel.includes(one));
  const heard = loose.length + vessels.reduce((sum, one) => sum + one.sensors.filter((sensor) => sensor.newest.length > 0).length, 0);
  const unmapped = refusals.newest.filter((one, i, all) => all.findIndex((other) => other.topic === one.topic) === i).slice(0, 3);
  const people = channels.filter((one) => one.kind !== 'log');  // nobody looks there
  const steps = [
    [daemon.broker_connected && wrong('broker').length === 0, 'The broker is connected', wrong('broker').map(finding)],
    [heard > 0 && unheard.length === 0, 'Its sensors are heard', [...unheard.map(finding),
      heard === 0 && unmapped.map((one, i) => [`A message came on ${one.topic}, and nothing reads it.`, writes && h('div', { class: 'row' }, mapButton(one, `first-map-${i}`))])]],
    [vessels.length > 0, 'A vessel is named', [...vessel.map(finding), loose.length > 0 && ['Paste this into gylekeeper.toml, with your name for it, and restart the daemon:', paste(vesselBlock(loose.slice(0, 8)))]]],
    [batches.length + packaged.length > 0, 'A batch is pitched', [vessels.length > 0 && 'On the page Cellar, at its vessel: “Pitch”.']],
    [writes, 'There is a token for the phone', ['Write a token of 16 characters or more into a file, and name it as token_file under [page].']],
    [people.some((one) => one.delivered_last), 'An alert has arrived on a channel', [...wrong('channel').map(finding),
      people.length ? 'Send a test, on the page Setup under “Where alerts go”.' : 'Write a [[channel]] block into gylekeeper.toml, then send a test.']],
  ];
  const done = steps.filter(([yes]) => yes).length;
  if (done === steps.length) return h('p', { class: 'first-use' }, `All is set up: ${done} of ${steps.length} done.`);
  return h('section', { class: 'card first-use' }, h('h2', null, 'First use'), h('p', { class: 'hint' }, `${done} of ${steps.length} done`),
    h('ol', { class: 'steps' }, steps.map(([yes, what, how]) => h('li', { class: yes ? 'is-done' : 'is-open' }, h('strong', null, what), h('span', { class: 'hidden-text' }, yes ? ': done' : ': not yet'),
      !yes && how.flat().length > 0 && how.filter(Boolean).map((one) => h('div', { class: 'hint' }, one))))));
}

function mapTopic(topic, head) {
  const message = field('message', 'A message, whole', { rows: 4, required: true, spellcheck: 'false', class: 'code' }, 'textarea');
  message.lastChild.value = head;
  openForm('Map a topic', {
    hint: 'From a message follows the block of gylekeeper.toml that reads it. Only the beginning of a refused one is kept: give it whole.',
    fields: [field('topic', 'Topic', { required: true, value: topic, autocomplete: 'off' }), message, h('div', { class: 'proposal', 'aria-live': 'polite' })],
    button: 'Propose',
    send: async (form) => {
      const answer = await act(`/v1/sources/proposal${query({ topic: form.get('topic') })}`, { body: form.get('message'), done: 'Paste it into gylekeeper.toml.' });
      if (answer) {
        document.querySelector('dialog[open] .proposal').replaceChildren(h('p', null, 'Paste this into gylekeeper.toml, and the sensor into its vessel’s list; then restart the daemon:'),
          ...paste(answer.block).filter(Boolean));
      }
      return undefined;
    },
  });
}

async function calibrate(sensor) {
  const path = `/v1/sensors/${encodeURIComponent(sensor.sensor)}/calibration`;
  const known = await ask(path).catch(() => null);
  const { batches } = await ask('/v1/status');
  const points = field('points', 'Pairs, one a line: inclination = gravity', { rows: 5, placeholder: '21.4 = 1.000\n57.3 = 1.048', spellcheck: 'false' }, 'textarea');
  openForm('Calibrate', {
    hint: ['Inclinations of ', bdi(sensor.sensor), ' beside gravities you measured. Batches in their vessels are then evaluated again.'],
    fields: [known && lines(known.lines), points,
      h('p', { class: 'field' }, h('label', { for: 'field-samples' }, 'And the hand samples of'), h('select', { id: 'field-samples', name: 'samples' }, h('option', { value: '' }, 'no batch'),
        batches.map((one) => h('option', { value: `#${one.id}` }, `${one.name} · ${one.vessel}`)))),
      h('p', { class: 'check' }, h('input', { type: 'checkbox', id: 'field-try', name: 'try', value: 'true' }), h('label', { for: 'field-try' }, 'Only try it, and store nothing'))],
    button: 'Calibrate',
    send: (form) => act(`${path}${query({ samples: form.get('samples'), dry_run: form.get('try') })}`, { body: form.get('points').trim(), done: ({ stored }) => (stored ? 'Calibrated.' : 'Only tried.') }),
    after: (answer, close) => {
      close();
      openSheet(answer.stored ? 'Calibrated' : 'Only tried', (shut) => [lines(answer.lines), h('div', { class: 'row' }, h('button', { type: 'button', class: 'main', onclick: shut }, 'Close'),
        answer.stored && h('button', { type: 'button', onclick: async () => { if (await act(`${path}/set-aside`)) shut(); } }, 'Undo: set it aside'))]);
    },
  });
}
