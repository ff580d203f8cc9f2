"""Writes brewday.csv: strike water, mash and water volumes, and the trade's rules of thumb, each row with its source."""
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
for Tm,Tg,qt in ((152,70,1.25),(152,68,1.5),(152,68,3.2)):
    add('strike_temp','Tm=%g F Tg=%g F ratio=%g qt/lb rule 0.2/r*(Tm-Tg)+Tm'%(Tm,Tg,qt),'%.2f'%(0.2/qt*(Tm-Tg)+Tm),'F','common practice form of the heat balance (0.2 = 0.4 * 0.5, a US quart of water taken as 2 lb); computed')
for gal,lb in ((9.0,11.0),(9.2,11.5),(7.5,8.0),(9.3,13.0)):
    mw=gal*8.338; dT=strike(152,68,mw,lb,.40)-152
    add('full_volume_strike_rise','%.1f US gal water, %.1f lb grain at 68F, mash 152F, s=0.40'%(gal,lb),'%.2f'%dT,'F above mash',hb+'; computed (no kettle heat capacity or losses)')
disp=0.08
for gal,lb in ((9.0,11.0),(9.2,12.0),(9.3,13.0),(6.9,8.5)):
    add('mash_volume','%.1f gal + %.1f lb * 0.08 gal/lb displacement'%(gal,lb),'%.2f'%(gal+disp*lb),'US gal','displacement 0.08 US gal/lb (about 0.67 L/kg) common practice, no source; computed')
add('grain_absorption','traditional lautered mash','0.8 to 1.2 (0.10 to 0.14)','L/kg (US gal/lb)','common practice, no source')
add('grain_absorption','bag drained without squeezing','0.5 to 0.8 (0.06 to 0.10)','L/kg (US gal/lb)','common practice, no source')
add('grain_displacement','dry grain into water','0.67 (0.08)','L/kg (US gal/lb)','common practice, no source (malt true density about 1.4-1.5 kg/L gives 0.67-0.71)')
add('evaporation','open home kettle','0.8 to 1.5','US gal per hour','common practice, no source; commercial kettles historically 8-10 % per hour, modern 4-6 % (textbooks, from memory)')
add('cooling_shrink','100 C to 20 C water density ratio','%.4f'%(958.3637/998.2041),'volume at 20 C / volume at 100 C','Kell 1975')
# full-volume water chain
def chain(batch,trub,boil,evap,lb,absr,shrink=0.96):
    post=(batch+trub)/shrink; pre=post+evap*boil; return post,pre,pre+absr*lb
for b,tr,bo,ev,lb,ab in ((5.5,0.5,1,1.25,11,.08),(4.0,0.4,1,1.25,8,.08),(5.5,0.75,1,1.5,11,.10),(4.0,0.75,1,1.5,8.5,.10)):
    po,pr,tot=chain(b,tr,bo,ev,lb,ab); add('full_volume_water','batch %.1f + trub %.2f gal, boil %g h at %.2f gal/h, %.1f lb grain at %.2f gal/lb, 4 %% shrink'%(b,tr,bo,ev,lb,ab),'post-boil hot %.2f, pre-boil hot %.2f, total water %.2f, mash volume %.2f'%(po,pr,tot,tot+disp*lb),'US gal','computed with the common-practice figures above')
for k,v,u in (('full_volume_bag_mash_strike','strike about 5 above a 152 F mash','F'),('batch_5.5_gal_water','a little over 9','US gal water'),('batch_5.5_gal_kettle','10 gal kettle only just big enough once the grain is in','-'),('kettle_8_gal_max_batch','about 4','US gal batch'),('mash_time','60','min'),('mash_tolerance','within a few degrees F of target is acceptable','F'),('ale_hold','64 F for about a week, then 72 F until final gravity','-')):
    add(k,'',v,u,'common practice, no source')
with open(out, "w", newline="") as f:
    w = csv.writer(f, lineterminator="\n"); w.writerow(["kind", "inputs", "value", "unit", "source"]); w.writerows(rows)
