// Prints the complaints of the W3C parser about each WebVTT text handed over, as one JSON list per text.
const { WebVTTParser } = require("webvtt-parser");
const texts = JSON.parse(require("fs").readFileSync(0, "utf8"));
const told = texts.map((text) => {
  const tree = new WebVTTParser().parse(text, "captions");
  return { errors: tree.errors, cues: tree.cues.map((c) => ({ id: c.id, start: c.startTime, end: c.endTime, text: c.text })) };
});
process.stdout.write(JSON.stringify(told));
