"""Writes brewday.csv: strike water, mash and water volumes, each row with its source."""
import csv, os
out = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "brewday.csv")
rows=[]
def strike(Tm,Tg,mw,mg,s): return Tm+ s*mg/mw*(Tm-Tg)
def add(kind,inp,val,unit,src): rows.append([kind,inp,val,unit,src])
hb='heat balance, malt specific heat ratio to water as stated; textbook form (Briggs et al. 2004; Lewis & Young 2001; Barth, MBAA TQ 61(1), 2024)'
def mixT(S,Tg,M,T,Sc): return (S*Tg+M*T)/(S+M)+Sc
add('initial_mash_temp','S=0.39 Tg=27C T=69C M=2.68 kg water per kg grist (2.68 hL/100 kg) slaking +2.3C','%.2f'%mixT(.39,27,2.68,69,2.3),'C','inputs and constants: Pauls & Whites Brewing Room Book 1984/85 (2 % moisture row); result computed')
add('initial_mash_temp','S=0.39 Tg=80F T=156F 2.5 brl/qr (=2.679 lb/lb) slaking +4F','%.2f'%mixT(.39,80,2.5*360/336,156,4),'F','inputs and constants as above (1 UK barrel = 360 lb water, 1 quarter malt = 336 lb); result computed')
for m,s,c,f in ((0,.38,3,5.5),(1,.38,2.8,5),(2,.39,2.3,4),(3,.40,2.3,3.5),(4,.40,1.5,3),(6,.41,1.3,2.5),(8,.42,1,2)):
    add('malt_constants','moisture %d %%'%m,'%.2f / %.1f / %.1f'%(s,c,f),'specific heat ratio / slaking C / slaking F','Pauls & Whites Brewing Room Book 1984/85 table')
for Tm,Tg,r,s in ((67,20,2.5,.4),(67,20,3.0,.4),(67,20,3.0,.38),(65,18,3.5,.4),(63,20,1.0,.4)):
    add('strike_temp','Tm=%g C Tg=%g C ratio=%g L/kg s=%g'%(Tm,Tg,r,s),'%.2f'%strike(Tm,Tg,r,1,s),'C',hb+'; computed')
for Tm,Tg,qt in ((149,66,1.4),(151,64,1.7),(149,66,3.4)):
    add('strike_temp','Tm=%g F Tg=%g F ratio=%g qt/lb rule 0.2/r*(Tm-Tg)+Tm'%(Tm,Tg,qt),'%.2f'%(0.2/qt*(Tm-Tg)+Tm),'F','common practice form of the heat balance (0.2 = 0.4 * 0.5, a US quart of water taken as 2 lb); computed')
for gal,lb in ((5.4,6.2),(5.8,7.4),(7.1,8.3),(3.9,5.1)):
    mw=gal*8.338; dT=strike(149,66,mw,lb,.40)-149
    add('full_volume_strike_rise','%.1f US gal water, %.1f lb grain at 66F, mash 149F, s=0.40'%(gal,lb),'%.2f'%dT,'F above mash',hb+'; computed (no kettle heat capacity or losses)')
disp=0.08
for gal,lb in ((5.4,6.2),(5.8,7.4),(7.1,8.3),(3.9,5.1)):
    add('mash_volume','%.1f gal + %.1f lb * 0.08 gal/lb displacement'%(gal,lb),'%.2f'%(gal+disp*lb),'US gal','displacement 0.08 US gal/lb (about 0.67 L/kg) common practice, no source; computed')
# full-volume water chain
def chain(batch,trub,boil,evap,lb,absr,shrink=0.96):
    post=(batch+trub)/shrink; pre=post+evap*boil; return post,pre,pre+absr*lb
for b,tr,bo,ev,lb,ab in ((3.2,0.5,1,1.2,6.2,.08),(2.6,0.4,1,1.2,5.1,.08),(3.2,0.8,1,1.4,7.4,.10),(4.7,0.6,1,1.3,8.3,.10)):
    po,pr,tot=chain(b,tr,bo,ev,lb,ab); add('full_volume_water','batch %.1f + trub %.2f gal, boil %g h at %.2f gal/h, %.1f lb grain at %.2f gal/lb, 4 %% shrink'%(b,tr,bo,ev,lb,ab),'post-boil hot %.2f, pre-boil hot %.2f, total water %.2f, mash volume %.2f'%(po,pr,tot,tot+disp*lb),'US gal','computed; trub, evaporation, absorption and displacement are common practice, no source')
with open(out, "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n"); w.writerow(["kind", "inputs", "value", "unit", "source"]); w.writerows(rows)
