// What runs on a crew's page: its clock and its map's width. Kept out of core, which knows no clock.

/** T by the phone's clock, from the planned exit until EXIT is pressed; and the map's width. */
export const PHONE_SCRIPT = `
const t=document.querySelector('#t'),of=document.querySelector('#of'),map=document.querySelector('.map svg');
let exit=Number(document.body.dataset.exit)*1000,width=100;
const two=x=>String(x).padStart(2,'0');
const tick=()=>{const s=Math.round((Date.now()-exit)/1000),a=Math.abs(s),h=Math.floor(a/3600),m=Math.floor(a%3600/60);
t.textContent='T'+(s<0?'−':'+')+(h>0?h+':'+two(m):m)+':'+two(a%60);};
document.querySelector('#exit').addEventListener('click',()=>{exit=Date.now();of.textContent='from EXIT as pressed here';tick();});
for(const [id,by] of [['#in',1.5],['#out',1/1.5]])document.querySelector(id)?.addEventListener('click',()=>{width=Math.min(600,Math.max(100,width*by));map.style.width=width+'%';});
tick();setInterval(tick,500);
`;
