// The fixed parts of the page; everything in them is put by Show.
import { m, type Markup } from "../units/markup.ts";

const stage = m`<section id="stage" class="stage" aria-label="Picture">
<div id="views" class="views" role="group" aria-label="Views of the picture"></div>
<div id="bigplace" class="bigplace">
<div id="frame" class="frame" tabindex="0" role="group"
  aria-label="Picture: click to read a spot, or move it with the arrow keys and press Enter">
<canvas id="other" width="3" height="2" role="img" aria-label="The other picture" hidden></canvas>
  <img id="still" alt="The picture with the change" hidden>
<canvas id="picture" width="3" height="2" role="img" aria-label="The computed picture"></canvas>
  <canvas id="was" class="gone" width="3" height="2" aria-hidden="true"></canvas>
  <canvas id="livepic" width="3" height="2" aria-hidden="true" hidden></canvas>
<svg id="marks" role="group" aria-label="Points in the picture"></svg><div id="beside"></div>
  <div id="onpic" class="onpic"></div></div></div>
<div id="fault" class="fault0"></div><div id="toolp"></div><div id="spot" class="spotwrap" role="region"
  aria-label="Reading of the spot"></div></section>`;

const planbox = m`<div id="planbox" class="planbox"><div id="planbar" class="planbar" role="group"
  aria-label="Plan"></div>
<div id="ctsay" class="ctsay" role="status"></div><div class="drawing"><svg id="plan" role="group" tabindex="0"
  aria-label="Plan and section"></svg></div>
<div id="thing" class="thingbar" role="group" aria-label="Dimensions of what is selected"></div></div>`;

const side = m`<section id="side" class="side" aria-label="Ladder, lights and plan">
<div id="lists" class="lists"><div id="ladder" class="ladder"><div id="ladhead" class="lh"></div>
  <div id="lad" role="group" aria-label="Rows by number"></div>
<div id="foot" class="foot" aria-live="polite"></div></div><div id="lights" class="lights" role="group"
  aria-label="Lights"></div></div>
<div id="split-low" class="split row" role="separator" tabindex="0" aria-orientation="horizontal"
  aria-label="Border between lights and plan" aria-valuenow="0"></div>
<div id="low" class="low">${planbox}<div id="face" class="face" aria-hidden="true"><canvas id="facepic" width="3"
  height="2"></canvas></div></div></section>`;

const others = m`<section id="c4" class="textpane" aria-label="Shoot file"><div id="texthead" class="hd"></div>
  <div class="edit">
<div id="gutter" class="gutter" aria-hidden="true"></div><textarea id="text" spellcheck="false" autocomplete="off"
  autocapitalize="off" wrap="off"
 aria-label="Text of the shoot file"></textarea></div><div id="textsays" class="list" role="log" aria-label="Messages"
   tabindex="0"></div></section>
<section id="edit" class="editor" aria-label="Everything of the shoot"><nav id="ednav" class="ednav"
  aria-label="Parts of the shoot file"></nav>
<div id="edform" class="edform" tabindex="0" role="group" aria-label="Settings"></div></section>
<section id="edside" class="edside" aria-label="Plan of the place"><div id="edhead" class="hd"></div>
  <div id="palette" class="palette"></div>
<svg id="roomplan" class="roomplan" role="group" aria-label="The place from above"></svg></section>
<section id="day" class="day" aria-label="Day"><div id="dayhead" class="dayhead"></div>
  <div id="daybar" class="daybar" role="group" aria-label="Parts of the day"></div>
<svg id="daysvg" class="daysvg" role="group" aria-label="The day by person and clock"></svg>
  <div id="dayfoot" class="dayfoot"></div><div id="daylist" class="daylist" tabindex="0" role="group"
  aria-label="Lists of the day"></div></section>
<section id="library" class="library" aria-label="Library"></section>
<section id="scout" class="scout" aria-label="Scout"></section>
<section id="kit" class="kitscreen" aria-label="Kit"></section>
<section id="setups" class="checks" aria-label="Setups" tabindex="0"></section><section id="ways" class="checks"
  aria-label="Ways out" tabindex="0"></section>
<section id="checks" class="checks" aria-label="Checks" tabindex="0"></section>`;

export const skeleton = (): Markup => m`<header id="bar" class="bar"></header><div id="err" class="errwrap"
  role="region" aria-label="Mistakes of the text"></div>
<main id="main"><h1 id="h1" class="vh">halfstop</h1>${stage}
<div id="split-stage" class="split col" role="separator" tabindex="0" aria-orientation="vertical"
  aria-label="Border beside the picture" aria-valuenow="0"></div>
${side}<section id="cam" class="cam" aria-label="Camera"></section><section id="hours" class="hours"
  aria-label="Hour"></section>${others}</main>
<section id="begin" class="begin" aria-label="Begin a shoot"><div id="bgform"></div>
<div class="bgdraw"><svg id="bgsvg" role="img" aria-label="The room as answered, from above and from the side"></svg>
  </div></section><footer id="state" class="state" aria-label="State"></footer><nav id="phone" class="phone"
  aria-label="Part"></nav>
<aside id="picker" aria-label="Colour"></aside><aside id="over" aria-label="Over the page"></aside>`;
