//! A raw rail behind a choke input: the cheapest source, choke, rectifier and bank whose choke current never pauses.
//!
//! While it never pauses the mean is that of the rectified sine less what resistances and thresholds take, in closed form; so
//! few sources and chokes are left, and each is solved exactly at every vertex.

use crate::{
    candidate::{bank::BankOption, shop::Priced},
    catalog::Choke,
    circuit::corner::{End, Thermal},
    stress::{
        assembly::{Assembly, Section},
        bench::no_load_peak_v,
        position::Position,
        stage::load_high_a,
    },
};

use super::{
    bleeding::Bleeding,
    choked_screen::Quick,
    fallen::Fallen,
    leaf::Completer,
    list::Fed,
    protect::Fusing,
    rectifying::Rectifying,
    search::{Outcome, Search, State},
};

/// By how much a stress must miss for another rectifier, or a smaller bank, not to mend it.
pub(super) const CLEAR_MISS: f64 = 1.02;
/// By how much a mean must miss for another bank not to mend it: measured, banks that a ripple allows move it by less than a
/// ten-thousandth.
pub(super) const MEAN_MISS: f64 = 1.0 + 1e-4;
/// What the peak of a diode may be of the load while the choke's current never pauses.
const PEAK_SHARE: f64 = 2.0;
/// Trains in a row without protection after which none is looked for behind the same source and choke.
pub(super) const BARE_MAX: u32 = 12;
/// A source with a choke behind it.
pub(super) struct Behind<'t, 'a> {
    pub(super) fed: &'t Fed<'a>,
    pub(super) choke: &'t Priced<'a, Choke>,
    /// Least score of anything complete behind both.
    least: f64,
}

/// What the failures of a source and choke have told.
#[derive(Default)]
struct Told<'a> {
    /// Banks that ripple too much with any rectifier: greatest capacitance and least ESR.
    ripples: Vec<(f64, f64)>,
    /// Banks whose charging is too much for the rectifier looked at: least capacitance.
    surges: Vec<f64>,
    /// Ways of cooling the rectifier looked at with which the mean misses its window.
    means: Vec<Missed>,
    /// Nothing behind source and choke passes.
    dead: bool,
    /// Trains in a row that fell by no number: nothing protects them.
    bare: u32,
    /// Rectifiers that the surge behind a source kills whatever the choke, each with the least ESR that did not help.
    killed: Vec<(Key<'a>, &'a str, f64)>,
}

/// A mean beyond an end of its window.
struct Missed {
    /// Place of the way of cooling.
    place: usize,
    /// Whether beyond the upper end.
    high: bool,
    /// Whether before anything has warmed up, when no way of cooling counts.
    cold: bool,
    /// Current of the bleeder beside the load, A.
    bleeder_a: f64,
}

impl Missed {
    /// Whether another way misses too: where the drop falls as the junction warms, a warmer one only raises the mean; more
    /// bleeder current only lowers it.
    fn tells(&self, rectifying: &Rectifying<'_>, falls: bool, (place, bleeder_a): (usize, f64)) -> bool {
        if (self.high && bleeder_a > self.bleeder_a) || (!self.high && bleeder_a < self.bleeder_a) {
            return false;
        }
        let farther = if self.high {
            rectifying.warmer(place, self.place)
        } else {
            rectifying.warmer(self.place, place)
        };
        self.cold || self.place == place || (falls && farther)
    }
}

/// A source: transformer, primary connection, wiring.
type Key<'a> = (&'a str, usize, u8);

/// A source by its names.
fn key<'a>(fed: &Fed<'a>) -> Key<'a> {
    let source = &fed.option;
    (source.transformer.common.id.0.as_str(), source.primary, source.wiring as u8)
}

/// Whether a train fell for want of protection: by a number of one of its rules, or by none while nothing falls by its price.
pub(super) fn bare(fallen: &Fallen<'_>, bound: f64) -> bool {
    match fallen {
        Fallen::Worked { code, .. } => {
            ["fuse-", "cut-out-", "overload-", "inrush-"].iter().any(|of| code.starts_with(of))
        }
        Fallen::Otherwise => bound.is_infinite(),
        Fallen::Lacking(..) => false,
    }
}

impl<'a> Search<'_, 'a> {
    /// The least score over all sources and chokes, the cheapest first.
    pub(super) fn go_through_chokes(&self, mut state: State<'a>) -> Outcome<'a> {
        let bank = self.banks.first().map_or(f64::INFINITY, |bank| bank.score);
        let mut waiting: Vec<Behind<'_, 'a>> = Vec::new();
        for fed in &self.sources {
            let fused = state.fusing == Fusing::Fitted || fed.proof;
            if !fused || !state.may_use(&fed.option.transformer.common) {
                continue;
            }
            for choke in &self.shop.chokes {
                if self.suits_choke(fed, choke.part, &mut state) {
                    let rest = self.least_rectifier + bank + fed.fuse_score;
                    waiting.push(Behind { fed, choke, least: fed.option.score + choke.score(1) + rest });
                }
            }
        }
        waiting.sort_by(|a, b| {
            a.least
                .total_cmp(&b.least)
                .then_with(|| key(a.fed).cmp(&key(b.fed)))
                .then_with(|| a.choke.common.id.cmp(&b.choke.common.id))
        });
        let mut told = Told::default();
        for one in &waiting {
            if one.least > state.bound() {
                break;
            }
            self.behind_choke(one, &mut told, &mut state);
        }
        state.into_outcome()
    }

    /// Every rectifier and bank behind a source and a choke, the cheapest first.
    fn behind_choke(&self, behind: &Behind<'_, 'a>, told: &mut Told<'a>, state: &mut State<'a>) {
        let source = &behind.fed.option;
        let peak_v = no_load_peak_v(self.topology, &source.source, self.mains_v);
        let reverse_v = self.reverse_v(peak_v);
        let base = source.score + behind.choke.score(1) + behind.fed.fuse_score;
        (told.dead, told.bare, told.ripples) = (false, 0, Vec::new());
        for rectifying in self.rectifiers.iter().filter(|one| reverse_v <= one.reverse_limit_v * (1.0 + 1e-9))
        {
            told.surges.clear();
            told.means.clear();
            if state.lacking.contains(&(Position::Rectifier, rectifying.part.common().id.0.as_str())) {
                continue;
            }
            for bank in self.banks.iter().filter(|bank| peak_v <= bank.voltage_limit_v * (1.0 + 1e-9)) {
                if base + rectifying.least_score() + bank.score > state.bound() {
                    break;
                }
                let (farad, esr) = (bank.bank.farad.low, bank.bank.esr_ohm.high);
                let lacks =
                    state.lacking.contains(&(Position::Reservoir, bank.reservoir.part.common.id.0.as_str()));
                if lacks || told.ripples.iter().any(|&(most, least)| farad <= most && esr >= least) {
                    continue;
                }
                let (own, least_ohm) = (key(behind.fed), bank.bank.esr_ohm.low);
                let id = rectifying.part.common().id.0.as_str();
                if told.killed.iter().any(|one| (one.0, one.1) == (own, id) && least_ohm <= one.2) {
                    continue;
                }
                if told.surges.iter().any(|&least| farad >= least) {
                    break;
                }
                if self.ripples_clearly(behind, bank, state) {
                    continue;
                }
                let load = match self.quick_choked(behind, rectifying, bank, state) {
                    Quick::Passes(heat_w, average_a) => (heat_w, average_a),
                    Quick::Misses => break,
                    Quick::Ripples => {
                        told.ripples.push((farad, esr));
                        continue;
                    }
                    Quick::Fails => continue,
                    Quick::Dead => return,
                };
                let bleeders = self.bleeders(&bank.reservoir, peak_v);
                let next = self.complete_choked(behind, rectifying, (bank, &bleeders, load), told, state);
                if told.dead {
                    return;
                }
                if !next {
                    break;
                }
            }
        }
    }

    /// One rectifier and one bank with every bleeder and way of cooling; whether another bank could mend what failed.
    fn complete_choked(
        &self,
        behind: &Behind<'_, 'a>,
        rectifying: &Rectifying<'a>,
        (bank, bleeders, (heat_w, average_a)): (&BankOption<'a>, &[Bleeding<'a>], (f64, f64)),
        told: &mut Told<'a>,
        state: &mut State<'a>,
    ) -> bool {
        let source = &behind.fed.option;
        let Some(blank) = self.blank else { return false };
        let train = source.score + behind.choke.score(1) + rectifying.score + bank.score;
        let mut mends = true;
        let falls = rectifying.drop_falls(self.asked, PEAK_SHARE * load_high_a(self.asked.rail));
        for bleeding in bleeders {
            for (place, way) in rectifying.ways.iter().enumerate() {
                let score = train + bleeding.score + way.score;
                if score + behind.fed.fuse_score > state.bound() {
                    break;
                }
                let missed =
                    told.means.iter().any(|one| one.tells(rectifying, falls, (place, bleeding.amps)));
                if missed || !rectifying.bears(self.asked, way, heat_w, average_a) {
                    continue;
                }
                let assembly = Assembly {
                    transformer: source.transformer,
                    primary: source.primary,
                    wiring: source.wiring,
                    rectifier: rectifying.part,
                    rectifier_cooling: way.cooling,
                    section: Some(Section::ChokeInput(behind.choke.part)),
                    reservoir: bank.reservoir,
                    bleeder: bleeding.choice,
                    ..blank
                };
                let completer = Completer::of(self.asked, self.shop, state.fusing);
                let bound = state.bound();
                state.judge_one();
                match completer.complete(&assembly, &[], score, bound, &mut state.tally) {
                    Ok(found) => state.keep(found),
                    Err(fallen) if bare(&fallen, bound) => {
                        told.bare += 1;
                        if told.bare >= BARE_MAX {
                            told.dead = true;
                            return false;
                        }
                        continue;
                    }
                    // Neither cooling nor bleeder enters; the peak is the EMF over the resistance that is left, whatever the rest.
                    Err(Fallen::Worked { code: "rectifier-surge-current", .. }) => {
                        let id = rectifying.part.common().id.0.as_str();
                        told.killed.push((key(behind.fed), id, bank.bank.esr_ohm.low));
                        return true;
                    }
                    Err(Fallen::Worked { code: "rectifier-surge-i2t", .. }) => {
                        told.surges.push(bank.bank.farad.low);
                        return false;
                    }
                    // While the current never pauses the mean knows nothing of the bank but what its ripple heats the diodes.
                    Err(Fallen::Worked { code: "raw-voltage-window", utilisation, vertex: Some(vertex) })
                        if utilisation > MEAN_MISS =>
                    {
                        let cold = vertex.thermal == Thermal::Cold;
                        told.means.push(Missed {
                            place,
                            high: vertex.mains == End::High,
                            cold,
                            bleeder_a: bleeding.amps,
                        });
                    }
                    Err(Fallen::Worked { code, utilisation, .. }) if utilisation > CLEAR_MISS => match code {
                        "raw-ripple" => {
                            told.ripples.push((bank.bank.farad.low, bank.bank.esr_ohm.high));
                            return true;
                        }
                        // Neither rectifier nor bank has much of a say in what choke and windings carry.
                        _ if code.starts_with("choke-") || code.starts_with("transformer-") => {
                            told.dead = true;
                            return false;
                        }
                        "rectifier-average-current" | "rectifier-junction-temperature" => mends = false,
                        _ => {}
                    },
                    Err(Fallen::Lacking(position, part)) => {
                        state.lacking.insert((position, part));
                        told.dead = matches!(position, Position::Transformer | Position::SectionChoke);
                        return position == Position::Reservoir;
                    }
                    Err(_) => {}
                }
                told.bare = 0;
            }
        }
        mends
    }
}
