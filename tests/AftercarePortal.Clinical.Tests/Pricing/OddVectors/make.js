// Makes odd-vectors.json: the method page's section 4 word by word, and random draws beside it. Written apart from the C# code and from the open vectors; shares no line with either.
// node make.js VECTORS.json 1000000 > odd-vectors.json   (VECTORS.json: the open file, whose inputs are bent into odd ones; what the draws say goes to the error stream)
const fs=require('fs');
function erfc(x){ // continued fraction / series, double precision
  const z=Math.abs(x); let r;
  if(z<3){let s=z,t=z;for(let k=1;k<200;k++){t*=-z*z/k;const u=t/(2*k+1);s+=u;if(Math.abs(u)<1e-18)break;} r=1-2/Math.sqrt(Math.PI)*s;}
  else{let f=0;for(let k=60;k>=1;k--)f=k/2/(z+f);r=Math.exp(-z*z)/Math.sqrt(Math.PI)/(z+f);}
  return x>=0?r:2-r;}
const Phi=x=>0.5*erfc(-x/Math.SQRT2), phi=x=>Math.exp(-x*x/2)/Math.sqrt(2*Math.PI);
function lg(x){const c=[0.99999999999980993,676.5203681218851,-1259.1392167224028,771.32342877765313,-176.61502916214059,12.507343278686905,-0.13857109526572012,9.9843695780195716e-6,1.5056327351493116e-7];if(x<0.5)return Math.log(Math.PI/Math.sin(Math.PI*x))-lg(1-x);x-=1;let a=c[0];const t=x+7.5;for(let i=1;i<9;i++)a+=c[i]/(x+i);return 0.5*Math.log(2*Math.PI)+(x+0.5)*Math.log(t)-t+Math.log(a);}
function gammaP(a,x){if(x<=0)return 0;if(x<a+1){let s=1/a,t=s,n=a;for(let i=0;i<100000;i++){n++;t*=x/n;s+=t;if(t<s*1e-16)break;}return s*Math.exp(-x+a*Math.log(x)-lg(a));}
 let b=x+1-a,c=1e300,d=1/b,h=d;for(let i=1;i<100000;i++){const an=-i*(i-a);b+=2;d=an*d+b;if(Math.abs(d)<1e-300)d=1e-300;c=b+an/c;if(Math.abs(c)<1e-300)c=1e-300;d=1/d;const e=d*c;h*=e;if(Math.abs(e-1)<1e-16)break;}return 1-Math.exp(-x+a*Math.log(x)-lg(a))*h;}
function invGammaQ(p,a,scale){let lo=1e-12,hi=1e12;for(let i=0;i<300;i++){const m=Math.sqrt(lo*hi);if(1-gammaP(a,scale/m)<p)hi=hi,lo=m;else hi=m;}return Math.sqrt(lo*hi);}
// IG cdf(x)=Q(a,scale/x)=1-P
const taxed=(m,bp)=>m+Math.floor((m*bp+5000)/10000);
function f2s(i){return i.nu==null?[i.s2]:[0,1,2,3,4].map(k=>invGammaQ((k+0.5)/5,i.nu/2,i.nu*i.s2/2));}
function opt(i){i={...i};const G=i.pG.length;if(!i.toxin||!i.toxin.length)i.toxin=Array(G).fill([[0,1]]);if(!i.sessions||!i.sessions.length)i.sessions=Array(G).fill([1]);for(const[k,v]of[['toxin_price',0],['session_price',0],['fee',0],['tax_bp',0],['kmax',30],['smax',40]])if(i[k]==null)i[k]=v;return i;}
function exact(i0){const i=opt(i0),F=f2s(i),cells=Math.round(i.smax/0.02)+1;
 const base={};
 for(let p=0;p<i.products.length;p++)for(let a=0;a<i.asym_k.length;a++)for(let f=0;f<F.length;f++){let S=null;
  for(const r of i.products[p].regions){const sh=F[f]*(i.tau_w**2+r.v),sd2=F[f]*i.tau_e**2*i.asym_k[a]**2;const s=Math.sqrt(sh+sd2),rho=(sh+sd2)>0?sh/(sh+sd2):1;
   const cdf=q=>{if(r.sides==1){const x=Math.log(q)-r.m;return s<1e-12?(x>=0?1:0):Phi(x/s);}
    if(sd2<1e-18){const x=Math.log(q/2)-r.m;return s<1e-12?(x>=0?1:0):Phi(x/s);}
    // left side by fine trapezoid in its standard score
    const rest=s*Math.sqrt(1-rho*rho),h=Math.min(0.1,rest/s/2);let t=0,c=0;for(let x=-8;x<=8+1e-9;x+=h){const L=Math.exp(r.m+s*x);if(L>=q)break;t+=phi(x)*h*Phi((Math.log(q-L)-(r.m+rho*s*x))/rest);}return Math.min(1,t);};
   const m=new Float64Array(cells);let b=0;for(let k=0;k<cells;k++){let n=k==cells-1?1:cdf((k+0.5)*0.02);if(b>1-1e-13)n=1;m[k]=Math.max(0,n-b);b=Math.max(n,b);}
   if(!S)S=m;else{const T=new Float64Array(cells);for(let x=0;x<cells;x++)if(S[x]>1e-25)for(let y=0;y<cells;y++)T[Math.min(cells-1,x+y)]+=S[x]*m[y];S=T;}}
  const B=new Float64Array(cells+1);for(let k=0;k<cells;k++)B[k+1]=B[k]+S[k];
  base[[p,a,f]]=q=>{const at=q/0.02+0.5;if(at<=0)return 0;if(at>=cells)return 1;const k=Math.floor(at);return B[k]+(at-k)*S[k];};}
 const tot=new Map(),add=(m,k,w)=>m.set(k,(m.get(k)||0)+w);
 const zs=[];let zw=0;for(let n=-60;n<=60;n++){zs.push([n/10,Math.exp(-n*n/200)]);zw+=Math.exp(-n*n/200);}
 const K=i.kmax,NP=i.products.length;const units=i.products.map(()=>new Float64Array(K+1));
 const again=i.products.map(pr=>Array.from({length:K+1},(_,n)=>{const u=new Float64Array(K+1);if(!i.touchup||n==0)return u;let b=0;for(let k=1;k<=K;k++){const at=Math.log((k*pr.size+pr.tol)/(n*pr.size))-Math.log(i.touchup.ratio);const c=k==K?1:i.touchup.sd>0?Phi(at/i.touchup.sd):at>=0?1:0;u[k]=c-b;b=c;}return u;}));
 const cost=(p,n)=>n==0?0:taxed(i.products[p].price+(n-1)*(i.products[p].price_next??i.products[p].price),i.tax_bp);
 for(let g=0;g<i.pG.length;g++){ // joint over products for this laxity
  let joint=new Map();
  for(let b=0;b<i.pB.length;b++)for(let a=0;a<i.pA.length;a++){const w=i.pG[g]*i.pB[b]*i.pA[a];if(!w)continue;
   for(let f=0;f<F.length;f++)for(const[z,wz]of zs){const shift=i.dG[g]+i.dB[b]+Math.sqrt(F[f]*(i.s_theta+i.tau_u**2))*z,ww=w*wz/zw/F.length;
    let acc=[[0,ww]];
    for(let p=0;p<NP;p++){const pr=i.products[p];let be=0;const u=[];for(let k=1;k<=K;k++){const n=k==K?1:base[[p,a,f]]((k*pr.size+pr.tol)*Math.exp(-shift));if(n-be>0)u.push([k,n-be]);units[p][k]+=ww*(n-be);be=n;if(n>=1)break;}
      const nx=[];for(const[key,pw]of acc)for(const[k,pk]of u)if(pw*pk>1e-16)nx.push([key*(K+1)+k,pw*pk]);acc=nx;}
    for(const[key,pw]of acc)add(joint,key,pw);}}
  const money=new Map();
  for(const[key,w]of joint){const n=[];let kk=key;for(let p=NP-1;p>=0;p--){n[p]=kk%(K+1);kk=Math.floor(kk/(K+1));}
   const first=n.reduce((s,x,p)=>s+cost(p,x),0),pv=i.touchup?i.touchup.p:0;if(pv<1)add(money,first,w*(1-pv));
   if(pv>0){let acc=[[first,w*pv]];for(let p=0;p<NP;p++){const nx=[];again[p][n[p]].forEach((q,k)=>{if(q>0)for(const[m,pw]of acc)if(pw*q>1e-16)nx.push([m+cost(p,k),pw*q]);});acc=nx;}for(const[m,pw]of acc)add(money,m,pw);}}
  for(const[m,w]of money)for(const[u,pu]of i.toxin[g])if(pu)i.sessions[g].forEach((ps,n)=>{if(ps)add(tot,m+taxed(u*i.toxin_price,i.tax_bp)+taxed(n*i.session_price,i.tax_bp)+taxed(i.fee,i.tax_bp),w*pu*ps);});}
 return {atoms:[...tot].sort((x,y)=>x[0]-y[0]),units:Object.fromEntries(i.products.map((p,k)=>[p.id,[...units[k]].slice(0,16)]))};}
let spare=null;const U=Math.random;function N(){if(spare!=null){const s=spare;spare=null;return s;}const r=Math.sqrt(-2*Math.log(1-U())),t=2*Math.PI*U();spare=r*Math.sin(t);return r*Math.cos(t);}
function pick(p){let x=U();for(let k=0;k<p.length;k++){x-=p[k];if(x<0)return k;}return p.length-1;}
function mc(i0,draws){const i=opt(i0),F=f2s(i),m=new Map();
 for(let d=0;d<draws;d++){const g=pick(i.pG),b=pick(i.pB),a=pick(i.pA),f=F[Math.floor(U()*F.length)];const shift=i.dG[g]+i.dB[b]+Math.sqrt(f*i.s_theta)*N()+Math.sqrt(f)*i.tau_u*N();let total=taxed(i.fee,i.tax_bp);const visit=i.touchup&&U()<i.touchup.p;
  for(const p of i.products){let S=0;for(const r of p.regions){const c=r.m+shift+Math.sqrt(f*r.v)*N()+Math.sqrt(f)*i.tau_w*N();for(let s=0;s<r.sides;s++)S+=Math.exp(c+Math.sqrt(f)*i.tau_e*i.asym_k[a]*N());}
   const un=q=>Math.min(i.kmax,Math.max(1,Math.ceil((q-p.tol)/p.size)));const n=un(S);const c=k=>taxed(p.price+(k-1)*(p.price_next??p.price),i.tax_bp);total+=c(n);if(visit)total+=c(un(n*p.size*i.touchup.ratio*Math.exp(i.touchup.sd*N())));}
  const ux=i.toxin[g][pick(i.toxin[g].map(t=>t[1]))][0];total+=taxed(ux*i.toxin_price,i.tax_bp)+taxed(pick(i.sessions[g])*i.session_price,i.tax_bp);m.set(total,(m.get(total)||0)+1/draws);}
 return m;}
const P=JSON.parse(fs.readFileSync(process.argv[2])).price;
const p1=P[0].input,p3=P[2].input,p4=P[3].input,p10=P[9].input,p8=P[7].input;
const prod=(o)=>({...p1.products[0],...o});
const third={id:'third-0.5',size:0.5,tol:0.05,price:21000,price_next:18000,regions:[{id:'x',m:-1.2,sides:2,v:0.01}]};
const V=[
 ['M01 price of nothing',{...p4,products:[prod({price:0})],toxin_price:0,session_price:0,fee:0}],
 ['M02 no product, adjuncts only',{...p4,products:[],touchup:null}],
 ['M03 two products and a second visit',{...p10,touchup:{p:0.35,ratio:0.3,sd:0.4},tax_bp:825}],
 ['M04 three products',{...p10,products:[...p10.products,third],kmax:20,toxin:[],sessions:null}],
 ['M05 sides nearly tied',{...p1,tau_e:0.005}],
 ['M06 faces differ much',{...p1,tau_u:0.6,tau_w:0.4,tau_e:0.3,s_theta:0.2}],
 ['M07 billed by the tenth, no tolerance',{...p1,products:[prod({size:0.1,tol:0,price:4100})],kmax:400,smax:40}],
 ['M08 small grid and few units take the tail',{...p1,kmax:3,smax:6}],
 ['M09 tolerance above the unit, next dearer',{...p1,products:[prod({size:0.5,tol:0.7,price:20001,price_next:22003})],tax_bp:1975}],
 ['M10 second visit for certain, exact share',{...p3,touchup:{p:1,ratio:0.5,sd:0}}],
 ['M11 spread hardly known',{...p1,nu:2.5,s2:0.6}],
 ['M12 spread all but known, one level each',{...p8,nu:100000,s2:1.3,products:[{...p8.products[0],regions:[{id:'chin',m:-2.5,sides:1,v:0.3}],size:0.2,tol:0}]}],
 ['M13 yen: no minor unit',{...p1,currency:'JPY',products:[prod({price:90000,price_next:85001})],fee:5500,tax_bp:1000}],
 ['M14 nothing shared, nothing spread',{...p8,nu:null,s_theta:0,tau_u:0,tau_w:0,tau_e:0,products:[{...p8.products[0],regions:[{id:'chin',m:0.05,sides:1,v:0},{id:'l',m:-0.5,sides:2,v:0}]}]}],
 ['M15 examined, single levels, own shifts',{...p4,pG:[0,0,0,1],pB:[0,0,1],pA:[0,0,1],dG:[-1,0,1,2],dB:[-0.5,0,0.7],kmax:60}],
 ['M16 regions in another order',{...p10,products:[...p10.products].reverse().map(p=>({...p,regions:[...p.regions].reverse()}))}],
];
const out={price:[]};const q=(at,l)=>{let c=0;for(const[v,p]of at){c+=p;if(c>=l-1e-12)return v;}return at[at.length-1][0];};
const draws=+process.argv[3]||1e6;
for(const[name,input]of V){const t0=Date.now();const e=exact(input);const t1=Date.now();const m=mc(input,draws);let worst=0,wa=0;for(const[k,p]of e.atoms){const d=Math.abs(p-(m.get(k)||0))/Math.sqrt((p+1e-7)/draws);if(p>1e-4&&d>worst){worst=d;wa=k;}}
 const mean=e.atoms.reduce((s,[v,p])=>s+v*p,0),sd=Math.sqrt(e.atoms.reduce((s,[v,p])=>s+p*(v-mean)**2,0));let mm=0;for(const[k,p]of m)mm+=k*p;
 console.error(name,'exact',t1-t0,'ms; mc',Date.now()-t1,'ms; worst atom',worst.toFixed(2),'se; mean off',((mm-mean)/(sd/Math.sqrt(draws)||1)).toFixed(2),'se; atoms',e.atoms.length,'sum',e.atoms.reduce((s,a)=>s+a[1],0));
 out.price.push({name,input,expected:{mean,sd,quantiles:Object.fromEntries([0.01,0.05,0.1,0.25,0.5,0.75,0.9,0.95,0.975,0.99].map(l=>[l,q(e.atoms,l)])),syringesFirstVisit:e.units,priceAtoms:e.atoms.filter(a=>a[1]>1e-7)}});}
console.log(JSON.stringify(out));
