// What runs on a crew's page: its clock and its map's width. Kept out of core, which knows no clock.

/**
 * T by the phone's clock, from the planned exit until EXIT is pressed; and the map's width. When EXIT was pressed stands
 * in the address, so that a page that is loaded again goes on from it.
 */
export const PHONE_SCRIPT = `
const find=id=>document.querySelector(id),t=find('#t'),map=find('.map svg'),planned=find('#planned');
let exit=0,width=100;
const two=x=>String(x).padStart(2,'0');
const clock=a=>{const d=Math.floor(a/86400),h=Math.floor(a/3600),m=Math.floor(a%3600/60);
return d>1?d+' days':(h>0?h+':'+two(m):m)+':'+two(a%60);};
const tick=()=>{const s=Math.round((Date.now()-exit)/1000);t.textContent='T'+(s<0?'−':'+')+clock(Math.abs(s));};
const count=()=>{const at=Number(/^#exit=([0-9]{13})$/.exec(location.hash)?.[1]);planned.hidden=!at;
exit=at||Number(document.body.dataset.exit)*1000;
find('#of').textContent=at?'from EXIT as pressed here':'from the planned exit';tick();};
find('#exit').addEventListener('click',()=>{location.hash='exit='+Math.round(Date.now());count();});
planned.addEventListener('click',()=>{location.hash='';count();});
for(const [id,by] of [['#in',1.5],['#out',1/1.5]])find(id)?.addEventListener('click',()=>{width=Math.min(600,Math.max(100,width*by));map.style.width=width+'%';});
count();setInterval(tick,500);
`;
