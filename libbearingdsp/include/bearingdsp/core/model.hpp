#pragma once
/// The constants that decide a verdict, with their shipped values. Written by
/// data/generate/model.py from data/model.csv, which also says where each comes from: change that,
/// not this.
// clang-format off

namespace bearingdsp {

/// How far rolling elements slip: the one model of it.
struct SlipModel {
  /// rolling elements slip by up to this: a family is looked for so far on either side of its
  /// kinematic order [fraction]
  double reach{0.02};
  /// standard deviation of a family's order about the kinematic one [fraction]
  double spread{0.012};
  /// standard deviation that slip leaves in a shaft rate found by the bearing's own lines
  /// [fraction]
  double rate_spread{0.005};
  /// a harmonic of the shaft this far below a line of the bearing may be that line: narrower than
  /// max_lag or too few harmonics are left in 20 revolutions [fraction]
  double comb_below{0.015};
  /// and this far above it [fraction]
  double comb_above{0.005};
  /// a line of the bearing lies at most so far below its kinematic order: what a speed is found by
  /// [fraction]
  double max_lag{0.025};
  /// and at most so far above it [fraction]
  double max_lead{0.01};
};

/// What a recording must hold, and how it is prepared.
struct RecordModel {
  /// a channel with fewer samples is not analysed
  int min_samples{1024};
  /// fewer cannot part a family from its neighbours: half an order must hold six lines
  /// [revolutions]
  double min_revolutions{14.0};
  /// a longer recording is cut into pieces: slip spreads a line over a share of its frequency
  /// [revolutions]
  double max_revolutions{1000.0};
  /// hypotheses whose speeds differ by less share their demodulated bands [fraction]
  double same_speed{0.05};
  /// the spectrum is flattened over at least this width [Hz]
  double flatten_hz{50.0};
  /// and over at least so many orders, so that shaft lines are not flattened away one by one
  /// [orders]
  double flatten_orders{3.0};
};

/// The bands that are demodulated, and the families looked for in them.
struct BandsModel {
  /// a band holds three harmonics of the inner ring's family and some floor [BPFI]
  double narrowest_in_bpfi{3.2};
  /// no band is narrower [Hz]
  double narrowest_hz{300.0};
  /// the envelope spectrum reaches five harmonics of the inner ring's family [BPFI]
  double search_in_bpfi{5.2};
  /// smeared families are looked for only in bands with at least this share of the whole range: in
  /// narrow ones noise looks like them [fraction]
  double smear_share{0.33};
  /// harmonics of BPFO and BPFI that are looked at
  int ring_harmonics{5};
  /// harmonics of 2 x BSF that are looked at
  int element_harmonics{4};
  /// harmonics of FTF that are looked at
  int cage_harmonics{4};
  /// harmonics of 2 x FTF that are looked at
  int twice_cage_harmonics{2};
  /// harmonics of the shaft that a family is weighed against
  int shaft_harmonics{8};
  /// half-width of the search for the shaft's harmonics: its rate is known this well [fraction]
  double shaft_tolerance{0.0005};
  /// a ring's lines count in full only so far above their strongest rival within half an order [dB]
  double ring_over_rivals_db{3.0};
  /// power of every n-th shaft harmonic over the others', from which something that strikes n times
  /// a revolution is suspected [ratio]
  double nth_over_others{4.0};
};

/// How a harmonic series is distinguished from its surroundings.
struct FamilyModel {
  /// rivals of a line lie within this; farther ones belong to the next shaft harmonic [orders]
  double neighbourhood{0.45};
  /// a line this near to a shaft harmonic is held against its mirror image on the other side
  /// [orders]
  double mirror_reach{0.2};
  /// no single line weighs more than this [nats]
  double line_cap{7.0};
  /// a line is detected when its rank probability is below 5 % [nats]
  double detected{3.0};
  /// a line counts for no more than this against Gaussian noise: the floor is not known better
  /// [nats]
  double noise_cap{20.0};
  /// relative width of a family that slip and speed wander have smeared: first width tried
  /// [fraction]
  double smear_1{0.01};
  /// second width tried [fraction]
  double smear_2{0.02};
  /// third width tried [fraction]
  double smear_3{0.04};
  /// a smear is held against surroundings of at least this size [half-widths]
  double smear_room{6.0};
  /// the best of several places in noise lies 1 + this / sqrt(width) times over its mean [ratio]
  double floor_spread{2.0};
  /// no line dominates its neighbours, or is dominated, by more than this [dB]
  double dominance_limit_db{15.0};
  /// below this the spectrum rises towards zero frequency and is no rival [orders]
  double rise_orders{0.25};
  /// nor is it below this share of the line's own frequency [fraction]
  double rise_share{0.5};
  /// fewer lines within family.neighbourhood hold no floor: the family is not searched [lines]
  double min_neighbours{6.0};
  /// the frequency of a supply is known within this [fraction]
  double mains_spread{0.0005};
  /// a sideband is detected when fewer places beside it than this share are stronger [probability]
  double sideband_rank{0.02};
  /// with less than this share of the even harmonics' power in the odd ones, the family is one of
  /// twice the order [fraction]
  double odd_power{0.05};
  /// a family with less evidence than this is chance [nats]
  double min_evidence{2.0};
  /// step between slips tried, of the highest harmonic [lines]
  double slip_step_bins{0.5};
  /// the same as a share of a smear's width [fraction]
  double slip_step_smear{0.25};
  /// Hann lines closer than this cannot be distinguished [lines]
  double apart_bins{2.0};
  /// a family weaker than this share of a rival counts less: the shaft's own lines, or a foreign
  /// bearing's [ratio]
  double shaft_rivalry{0.6};
};

/// From strength to probability, and from probability to words.
struct JudgementModel {
  /// strength at which visible damage and its absence are equally likely [depth]
  double even_strength{0.22};
  /// of the logistic curve in the natural logarithm of strength
  double steepness{6.0};
  /// share of damaged bearings among those that show nothing [probability]
  double unseen{0.18};
  /// the same where the bearing is not known: fewer of its lines are looked for [probability]
  double unseen_without_bearing{0.3};
  /// share of damaged recordings among those that the probabilities were set on, 82 of 114: by it
  /// they are converted to the share of a plant [fraction]
  double calibrated_share{0.7192982456140351};
  /// share of the cage in damage that shows at the cage's rate alone: a damaged element is the
  /// commoner cause [probability]
  double cage_alone{0.4};
  /// strength to this power weighs the components against one another
  double place_power{4.0};
  /// strength of 'none of these components' [depth]
  double unplaced{0.1};
  /// a component is named from this probability on [probability]
  double name_from{0.7};
  /// damage is called from this probability on [probability]
  double fault_from{0.6};
  /// no fault is called below it [probability]
  double none_below{0.33};
};

/// Which component of the bearing.
struct ComponentModel {
  /// standard deviation of a fitted order, as a share of the half-width that was searched: a speed
  /// that is only nominal is mostly right to half of what is allowed for [fraction]
  double nominal_spread{0.25};
  /// sidebands at 1x that an inner ring's harmonic has on either side: the defect passes through
  /// the load zone once a revolution
  int inner_sidebands{8};
  /// the same of an outer ring, whose defect does not move: unbalance may modulate it
  int outer_sidebands{2};
  /// the same of an element and the cage
  int rolling_sidebands{1};
  /// how much wider a line on a stronger family's lattice may lie with each multiple [fraction]
  double lattice_growth{0.25};
  /// a line this near to the lattice is on it [lines]
  double lattice_lines{2.0};
  /// families of a ring and an element this near are on the same lines [lines]
  double twin_lines{2.0};
  /// from this uncertainty of BSF on, the fitted lines say what the cage's order must be [fraction]
  double rough_spin{0.03};
  /// cage lines this far from that order contradict it [fraction]
  double cage_apart{0.03};
  /// odds of an element against a ring on the same lines, at the most [ratio]
  double max_element_odds{20.0};
  /// by which each sideband more raises them [ratio]
  double sideband_odds{2.0};
  /// lines at the cage's rate against those of a damaged element, at least: a load zone that is not
  /// all round gives 0.4 of one of four harmonics [ratio]
  double modulated{0.2};
  /// weaker lines at the cage's rate do not show that the cage carries an element through the load
  /// [depth]
  double unmodulated{0.03};
  /// families of both rings whose orders add up to the number of elements within this share come
  /// from one cage speed [fraction]
  double one_cage{0.003};
  /// the weaker of two damaged rings has at least this share of the strength [ratio]
  double several_share{0.6};
  /// and this many times judgement.even_strength [ratio]
  double several_strength{1.5};
  /// so many sidebands at 1x beside an element's lines, stronger than those at the cage's rate,
  /// show that the source of the impacts rotates with the shaft
  int turning_lines{3};
  /// odds of an inner ring of another bearing against the outer ring on the same lines, by
  /// component.sideband_odds for each sideband at 1x, at the most: unbalance makes some, too
  /// [ratio]
  double max_turning_odds{8.0};
  /// mean power at odd multiples of half a ring's order over that of its lines, from which the
  /// family is every second line of another series [ratio]
  double between{0.1};
  /// weight of another bearing's part on the same lines, where a fitted slip of zero weighs 1:
  /// foreign.another, spread over unknown.lowest to unknown.highest, against the scatter of slip of
  /// three parts [ratio]
  double elsewhere{0.005};
};

/// Speeds that are tried beside a nominal one.
struct TriedModel {
  /// standard deviations of the speed by which the search for a family widens [ratio]
  double uncertainty_reach{2.0};
  /// half-width of the search for a family, at the most [fraction]
  double max_tolerance{0.08};
  /// speeds less likely than this are not tried beside a nominal one [probability]
  double min_probability{0.05};
  /// nor more than so many
  int max_speeds{3};
  /// a component weaker than this in every band is left at what the whole band shows: it moves the
  /// probability of damage by less than 0.00001 [depth]
  double min_strength{0.03};
  /// another speed is taken when it explains the lines so much better [ratio]
  double clearly_better{1.05};
};

/// Lines of a bearing that is not the one given.
struct ForeignModel {
  /// multiples of a foreign series, and of the bearing's own orders, that are distinguished
  int highest_multiple{3};
  /// odds of damage of another bearing than the one given, against that of the one given, before
  /// the recording [odds]
  double another{0.1};
  /// what a load zone makes of a line never exceeds the line: a foreign series so much stronger
  /// explains the bearing's own lines [ratio]
  double over_own{2.0};
  /// sidebands at 1x that are looked for beside each multiple of the foreign series
  int sideband_reach{3};
  /// a line this near to the foreign lattice is on it [lines]
  double lattice_lines{1.5};
  /// by which that widens with each multiple [lines]
  double lattice_growth{0.5};
};

/// A series of lines where the bearing is not known.
struct UnknownModel {
  /// rings and elements of motor bearings strike at least so often a revolution [orders]
  double lowest{2.1};
  /// and at most so often [orders]
  double highest{12.0};
  /// the envelope spectrum reaches so many times the highest order: four harmonics [ratio]
  double reach{4.2};
  /// of an unknown series that are looked at
  int harmonics{4};
  /// half-width of the search round each order tried [fraction]
  double tolerance{0.02};
  /// of neighbouring orders tried: they overlap by half [ratio]
  double step{1.02};
  /// the cage of any bearing turns at about this [orders]
  double cage_order{0.4};
  /// and within this of it: element over pitch diameter 0.12 to 0.28 [fraction]
  double cage_tolerance{0.1};
  /// of the cage that are looked at
  int cage_harmonics{4};
  /// weight of an element that no lines at the cage's rate are evidence for [ratio]
  double unmodulated{0.1};
  /// weight of 'no component' beside those of the components [ratio]
  double none{0.05};
  /// slip of an induction motor: a series this little above 2, 4, 6 or 12 orders may be the
  /// supply's [fraction]
  double max_motor_slip{0.025};
  /// how common motor bearings with 6 rolling elements are; only ratios matter [weight]
  double count_6{0.5};
  /// with 7 [weight]
  double count_7{3.0};
  /// with 8 [weight]
  double count_8{7.0};
  /// with 9 [weight]
  double count_9{6.0};
  /// with 10 [weight]
  double count_10{1.5};
  /// with 11 [weight]
  double count_11{1.0};
  /// with 12 [weight]
  double count_12{1.5};
  /// with 13 [weight]
  double count_13{1.5};
  /// with 14 [weight]
  double count_14{1.0};
  /// with 15 [weight]
  double count_15{0.7};
  /// with 16 [weight]
  double count_16{0.5};
  /// with 17 [weight]
  double count_17{0.3};
  /// share of the pitch circle's circumference that the elements fill, at least [fraction]
  double min_fill{0.55};
  /// and at the most [fraction]
  double max_fill{0.9};
};

/// Impacts near an order of the bearing given.
struct NearModel {
  /// odds of an inside that differs from the catalogue, or a cage that lags, against the bearing
  /// given [odds]
  double differs{0.15};
  /// standard deviation of the order of such a bearing [fraction]
  double spread{0.02};
  /// an order farther off is another bearing's [fraction]
  double max_deviation{0.045};
  /// weight of 'neither ring', on the scale of a Gaussian that is 1 at the order itself [weight]
  double neither{0.05};
};

/// Trains of impacts that 'no fault' would leave unexplained.
struct ImpactsModel {
  /// of a train of impacts that 'no fault' would leave unexplained
  int harmonics{8};
  /// at the assumed shaft rate so many are a train: a load that rises and falls once a revolution
  /// makes one or two
  int shaft_detected{4};
  /// half-width of the search for the train: slip scatters a bearing's impacts [fraction]
  double play{0.003};
  /// another shaft rate is possible so far beyond an interval that somebody gave [fraction]
  double interval_margin{0.25};
  /// at the cage's rate so many of eight are a train: shaft lines meet one or two of them
  int cage_detected{6};
  /// with unbalance from this probability on, lines at the shaft rate are not impacts [probability]
  double unbalance{0.5};
};

/// Which end's bearing the lines belong to.
struct EndsModel {
  /// from this share on, the damage is the one end's and not the other's [probability]
  double clearly{0.8};
};

/// A point's own healthy readings as its reference.
struct OwnReferenceModel {
  /// spread of a series' strength between healthy readings of one machine, natural logarithm:
  /// docs/validation/own_reference.md
  double spread{0.3};
  /// degrees of freedom of the Student distributions: heavy tails, so that an odd reading is no
  /// proof of a change
  double tails{4.0};
  /// median over healthy machines of the strength of the strongest series, the same page [depth]
  double all_median{0.08};
  /// and its spread, natural logarithm
  double all_spread{0.5};
  /// weaker series cannot be distinguished from none [depth]
  double weakest{0.05};
  /// a series that was there when the point was healthy lowers the odds of damage by no more: a
  /// reference may say no more than one recording among several [ratio]
  double max_lowered{10.0};
  /// and a new one raises them by no more [ratio]
  double max_raised{10.0};
  /// a series so many times as strong as the median of its reference has grown and nothing is taken
  /// off: two spreads [ratio]
  double grown{1.8};
  /// healthy readings that a reference needs before the first call of damage
  int min_readings{3};
  /// the first ones count, as many as make the baseline of a trend
  int max_readings{8};
};

/// A speed that changes within a recording.
struct MotionModel {
  /// order to which lines have to stay sharp: the third harmonic of an inner ring's family [orders]
  double max_order{15.0};
  /// a smear of so many cycles (root mean square) costs a line half its height [cycles]
  double smeared_cycles{0.15};
  /// a drive may change its speed this far from the nominal one within a recording [fraction]
  double max_change{0.3};
  /// even changes over the recording that a path is looked for about: 1 is a run-up of 1:3
  /// [fraction]
  double max_drift{1.0};
  /// smaller changes smear nothing [fraction]
  double min_change{0.004};
  /// the mean of a followed speed is known within this [fraction]
  double near_mean{0.01};
  /// harmonics of the shaft that the evened record has to show
  int min_lines{3};
  /// a track whose mean is this far from a steady comb follows something else [fraction]
  double other_rate{0.1};
  /// log likelihood by which the evened record must show the shaft better [nats]
  double min_gain{8.0};
  /// a change from here on hides a family altogether [fraction]
  double unsteady{0.03};
  /// a ring or an element strikes no fewer times a revolution [orders]
  double min_impacts{2.0};
  /// nor more often [orders]
  double max_impacts{12.0};
  /// of the short-time spectra in which the rate of impacts is followed [s]
  double impact_window{0.5};
  /// kurtosis, without the supply's impulses and single knocks, from which there are impacts that a
  /// changing speed would hide; noise has 2.85 to 3.02
  double impulsive{3.05};
  /// a supply is within this of its nominal frequency [fraction]
  double supply_play{0.005};
  /// events rarer than this are no bearing's: a cage, the slowest part, turns 0.35 times a
  /// revolution or more [orders]
  double rare_events{0.25};
  /// length of a single knock and its response [s]
  double event_seconds{0.005};
  /// one sharp line with this share of the power round it shows an even speed; the strongest three
  /// of forty lines of noise have 0.2 [fraction]
  double sharp_share{0.6};
  /// it is looked for this far from a harmonic, since a speed may be only nominal [fraction]
  double sharp_tolerance{0.05};
  /// and at least so many lines to each side, so that noise has no strongest one
  int sharp_reach{20};
  /// its frequency changes by no more lines an order, so that a series at six times the rate stays
  /// within the smear that it is looked for with
  int sharp_change{2};
  /// height of a hump in the spectrum of the squared envelope over both its sides, in deviations of
  /// noise, from which there are impacts at a changing rate; steady healthy simulated machines
  /// leave 6.2 or less, noise 4 [sigma]
  double hump{8.0};
  /// a hump is so many lines wide at least: fewer are the line of a window, or of a speed that
  /// wanders [lines]
  double hump_lines{12.0};
  /// width of the narrowest hump that is looked for: narrower ones are within family.smear_3
  /// [fraction]
  double hump_narrowest{0.04};
  /// and of the widest, doubling from the narrowest: both its sides are clear of zero and of the
  /// next harmonic [fraction]
  double hump_widest{0.32};
  /// a line counts for no more than this, which one of 64 lines of noise exceeds: lines of an even
  /// rate make no hump [medians]
  double hump_line{6.0};
};

/// A tacho and a given speed that contradict each other.
struct TachoModel {
  /// rates of tacho and vibration that differ by more are not the same [fraction]
  double same_rate{0.003};
  /// lines are looked for this far round a rate [fraction]
  double looked_around{0.01};
  /// an interval of speed is meant roughly [fraction]
  double range_slack{0.02};
  /// marks in a revolution: a key, bolts of a coupling, blades, a toothed wheel
  int max_pulses{200};
  /// one speed is believed over the other from this probability on [probability]
  double clearly{0.9};
};

/// The speed of the shaft from lines of the vibration.
struct SpeedModel {
  /// harmonics of a rate that are asked whether they are detected
  int scored_harmonics{80};
  /// lines of the vibration are taken up to here, the same for all rates [Hz]
  double vibration_top{1200.0};
  /// and of envelopes up to here [Hz]
  double envelope_top{600.0};
  /// harmonics of a family whose sidebands are asked for
  int side_harmonics{10};
  /// candidates whose other combs are worked out
  int looked_at{40};
  /// bounds what one line may add [ratio]
  double max_density_ratio{2000.0};
  /// of the log likelihood ratio: lines of one machine are not independent witnesses
  double tempering{0.5};
  /// the more lines, the less independent they are: tempering halves at this score [nats]
  double crowded{30.0};
  /// score that chance reaches half the time in a blind search [nats]
  double chance_blind{12.0};
  /// the same within a few per cent of a given speed [nats]
  double chance_in_window{10.0};
  /// that the shaft is seen in the vibration at all [probability]
  double vibration_shows{0.95};
  /// and in envelopes [probability]
  double envelope_shows{0.5};
  /// log of the probability that no line of the shaft shows anywhere [nats]
  double unseen_shaft{-3.7};
  /// how often 1x is detected in the vibration [probability]
  double vibration_1{0.75};
  /// the same of 2x [probability]
  double vibration_2{0.65};
  /// of 3x and 4x [probability]
  double vibration_4{0.5};
  /// of 5x to 12x [probability]
  double vibration_12{0.3};
  /// of higher ones [probability]
  double vibration_more{0.12};
  /// how often 1x is detected in envelopes [probability]
  double envelope_1{0.5};
  /// the same of 2x [probability]
  double envelope_2{0.4};
  /// of 3x to 8x [probability]
  double envelope_8{0.25};
  /// of higher ones [probability]
  double envelope_more{0.1};
  /// a line at a multiple of the mains is evidence for the shaft by no more than this [nats]
  double mains_cap{0.7};
  /// prominence of a line that noise does not make among the thousands of places that are looked at
  /// [ratio]
  double beyond_chance{30.0};
  /// harmonics whose strengths are compared to find that a multiple of the rate is the shaft's
  int divisor_harmonics{40};
  /// own variance of a log prominence, so that few lines prove little [nats^2]
  double divisor_variance{1.0};
  /// prominence that a line may have and not be detected [ratio]
  double missing_prominence{8.0};
  /// how often a harmonic of a defect family is detected in the vibration [probability]
  double family_vibration{0.3};
  /// in envelopes, the first two [probability]
  double family_2{0.7};
  /// up to the fifth [probability]
  double family_5{0.5};
  /// up to the twelfth [probability]
  double family_12{0.35};
  /// higher ones [probability]
  double family_more{0.2};
  /// scatter of a family's harmonics [fraction]
  double family_slack{0.00025};
  /// how often a sideband at 1x is detected, bearing unknown [probability]
  double side_unknown{0.15};
  /// the same of an outer ring [probability]
  double side_outer{0.1};
  /// of an inner ring [probability]
  double side_inner{0.35};
  /// at the cage's rate, of an element [probability]
  double side_element{0.2};
  /// an unknown bearing's family lies above this [orders]
  double unknown_low{1.7};
  /// and below this [orders]
  double unknown_high{13.0};
  /// a line may be up to this harmonic of a ring's or element's family
  int ring_seeds{3};
  /// of an unknown bearing's
  int unknown_seeds{2};
  /// of the cage's
  int cage_seeds{12};
  /// of the shaft, in the vibration
  int shaft_seeds_vibration{12};
  /// of the shaft, in envelopes
  int shaft_seeds_envelope{8};
  /// a supply's line lies at least this far above a shaft harmonic [fraction]
  double supply_low{0.003};
  /// and at the most this far: slip times pole pairs [fraction]
  double supply_high{0.07};
  /// and at least so many spectral lines [lines]
  double supply_apart{1.2};
  /// how often a line of the supply's comb is detected in the vibration [probability]
  double supply_vibration{0.15};
  /// and in envelopes [probability]
  double supply_envelope{0.1};
  /// a supply comb adds no more than this share of the shaft's own score [fraction]
  double supply_share{0.6};
  /// families for which another rate may take a comb
  int families_tried{5};
  /// strongest combs that are tried as families of a shaft that shows no line
  int combs_of_bearing{6};
  /// with fewer lines of its own a comb is not called the shaft's
  int min_lines{4};
  /// nor without so many of 1x and 2x in vibration and envelopes: 3x may be BPFO
  int min_low_lines{2};
  /// two harmonics lie apart by more than a windowed line is wide, with room for a floor
  /// [revolutions]
  double shortest_revolutions{8.0};
  /// another speed than the one given is reported from this probability on [probability]
  double beyond_doubt{0.9};
  /// in a given speed that the recording neither bears out nor contradicts [probability]
  double given_confidence{0.9};
  /// of the rate within a recording, that is not in a line's own uncertainty [fraction]
  double wander{0.00015};
  /// a line farther off does not belong to the comb [sigma]
  double gate_sigmas{3.5};
  /// sidebands of a ring's harmonic that may be taken for the shaft's
  int ring_sidebands{4};
  /// within which chance lines are counted [Hz]
  double density_reach{75.0};
  /// those at least this prominent beside the line [ratio]
  double density_strong{0.5};
  /// those at least this prominent, close to it [ratio]
  double density_close{0.25};
  /// what is close [lines]
  double density_near{8.0};
  /// of the mains that hum
  int mains_harmonics{12};
  /// the frequency of a supply is known within this [fraction]
  double mains_spread{0.0002};
  /// most prominent lines that start a family
  int seed_lines{60};
  /// a line this near to a harmonic may belong to it [lines]
  double beside{0.8};
  /// no rate is known better [fraction]
  double rate_floor{2e-05};
  /// squared deviation at which one line's share in the scatter is cut off [sigma^2]
  double outlier{12.0};
};

/// Which lines a speed is found by.
struct LinesModel {
  /// width over which the floor of a spectrum is found [Hz]
  double whiten_hz{12.0};
  /// and at least so many lines [lines]
  double whiten_lines{48.0};
  /// prominence from which a line of the vibration is taken [ratio]
  double vibration{10.0};
  /// and of an envelope [ratio]
  double envelope{12.0};
  /// squared envelopes are limited softly at so many times their mean, so that a few shocks do not
  /// own them [ratio]
  double soft_limit{4.0};
  /// demodulation bands
  int bands{5};
  /// they begin here, or at a tenth of the sample rate [Hz]
  double lowest_hz{500.0};
};

/// A speed that is followed through a recording.
struct TrackModel {
  /// of 1x that a speed is followed on
  int harmonics{8};
  /// length of a short-time spectrum [revolutions]
  double window{10.0};
  /// a shorter recording is not followed [revolutions]
  double min_revolutions{20.0};
  /// beyond this a line says little more of its being there [nats]
  double gain_bend{4.0};
  /// but so much still
  double gain_slope{0.3};
  /// prominence at which a line begins to are evidence for the comb [ratio]
  double gain_scale{6.0};
  /// what a place without a line costs [nats]
  double gain_offset{0.4};
  /// by which higher harmonics weigh less
  double harmonic_decay{0.15};
  /// mean gain along a path that may be a shaft's: noise averages below one [nats]
  double min_gain{2.0};
  /// the coarse path is not better than this [revolutions]
  double phase_error{0.02};
  /// a harmonic's phase is followed from this ratio of signal to noise on [ratio]
  double phase_snr{4.0};
  /// steepness of the confidence in the lead over the best other path [1/nat]
  double lead_weight{3.0};
  /// lead at which a path is as likely the shaft's as not [nats]
  double even_lead{0.5};
  /// evening the axes is worthwhile where the angle is known to this share of the departure [ratio]
  double worthwhile{0.3};
};

/// What all other causes share.
struct CausesModel {
  /// lowest boundary of zones A and B [m/s rms]
  double zone_b{0.00112};
  /// of a cause whose line alone reaches that boundary, at the most; below it falls with the square
  /// [probability]
  double zone_a_probability{0.45};
  /// from so many times the boundary on the level limits nothing [ratio]
  double zone_free{1.46};
  /// one recording of one machine proves nothing [probability]
  double max_probability{0.97};
  /// causes below it are left out [probability]
  double min_probability{0.05};
  /// prominence from which a line of the shaft is detected: noise reaches it in one of 10^11 bins
  /// [ratio]
  double detected{25.0};
  /// times that, where a cause needs a clear 1x [ratio]
  double clear{4.0};
  /// in a speed that was given and that a clear 1x bears out [probability]
  double given_trust{0.95};
};

/// What is read at the shaft's orders.
struct ShaftModel {
  /// harmonics on which the rate is refined
  int refined_orders{5};
  /// a line this near to a multiple of the mains is no sign of the shaft [lines]
  double mains_lines{2.0};
  /// the rate is refined within three times its uncertainty, and within three times this [fraction]
  double max_uncertainty{0.02};
  /// whole orders of a loose fit are counted from here [order]
  int first_whole{3};
  /// and up to here [order]
  int last_whole{12};
  /// half orders counted: 1.5x up to this and a half
  int last_half{6};
  /// third orders counted, in thirds
  int last_third{10};
};

/// Unbalance.
struct UnbalanceModel {
  /// weight of the share of 1x in the acceleration
  double share_weight{6.0};
  /// share at which it says nothing, two radial directions [fraction]
  double share_two_axes{0.42};
  /// the same of one direction, which may be a resonance [fraction]
  double share_one_axis{0.5};
  /// weight of the share of 1x in the velocity
  double rule_weight{3.0};
  /// share at which it says nothing, and above [fraction]
  double rule_at{0.85};
  /// below it the share says no more [fraction]
  double rule_least{0.05};
  /// weight of 1x along the shaft, which is evidence for something else
  double axial_weight{2.0};
  /// of the radial 1x, at which it begins to [ratio]
  double axial_at{0.75};
  /// beyond it says no more [ratio]
  double axial_most{3.0};
  /// weight of the level of 1x
  double level_weight{3.0};
  /// level at which it is even [m/s rms]
  double level_at{0.0023};
};

/// Misalignment or a bent shaft.
struct MisalignmentModel {
  /// score where every measure is even
  double bias{-1.0};
  /// weight of 1x along the shaft over that across it
  double along_weight{3.0};
  /// at which it is even, axial direction known [ratio]
  double along_known{1.0};
  /// the same where the direction is guessed [ratio]
  double along_guessed{1.8};
  /// below it says no more [ratio]
  double along_least{0.05};
  /// beyond it says no more [ratio]
  double along_most{3.0};
  /// weight of the share of 1x and 2x in the velocity along the shaft
  double rule_weight{2.0};
  /// at which it is even [fraction]
  double rule_at{0.5};
  /// below it says no more [fraction]
  double rule_least{0.02};
  /// weight of 2x over 1x along the shaft
  double second_weight{2.5};
  /// at which it is even [ratio]
  double second_at{0.35};
  /// below it says no more [ratio]
  double second_least{0.01};
  /// beyond it says no more [ratio]
  double second_most{0.6};
  /// at the most, axial direction known [probability]
  double max_known{0.9};
  /// at the most, direction guessed [probability]
  double max_guessed{0.65};
  /// weight of the share of 2x and 3x in the acceleration across the shaft
  double across_share_weight{4.0};
  /// at which it is even, two directions [fraction]
  double across_two_axes{0.4};
  /// the same of one direction [fraction]
  double across_one_axis{0.5};
  /// weight of 2x over 1x across the shaft
  double across_rivalry_weight{3.0};
  /// at which it is even [ratio]
  double across_rivalry_at{0.5};
  /// below it says no more [ratio]
  double across_rivalry_least{0.05};
  /// times causes.detected, that 1x and 2x both need [ratio]
  double across_prominence{2.0};
  /// score of the level alone, where it is even
  double level_bias{-0.5};
  /// weight of the level of 2x
  double level_weight{2.0};
  /// level at which it is even [m/s rms]
  double level_at{0.0015};
  /// at the most, from directions across the shaft [probability]
  double across_most{0.9};
};

/// Looseness.
struct LoosenessModel {
  /// score without any sign
  double bias{-3.5};
  /// weight of each half order that is detected
  double half_order{0.55};
  /// share of the half orders in the velocity amplitude at which it is even [ratio]
  double halves_at{0.1};
  /// below it says no more [ratio]
  double halves_least{0.02};
  /// beyond it says no more [ratio]
  double halves_most{0.27};
  /// weight of each whole order more than usual
  double whole_order{0.15};
  /// whole orders above 2x that tight machines show as well
  int whole_usual{5};
  /// weight of the whole orders' share in the velocity amplitude
  double whole_weight{2.0};
  /// from which it speaks [ratio]
  double whole_at{0.6};
  /// at the most [probability]
  double most{0.9};
};

/// Rubbing.
struct RubbingModel {
  /// score without any sign
  double bias{-4.5};
  /// weight of each third order that is detected
  double third_order{0.6};
  /// weight of each half order
  double half_order{0.25};
  /// share of both in the velocity amplitude at which it is even [ratio]
  double fractions_at{0.1};
  /// below it says no more [ratio]
  double fractions_least{0.02};
  /// beyond it says no more [ratio]
  double fractions_most{0.27};
  /// weight of the displacement's skewness, up to 1
  double skewness{1.5};
  /// third orders that a rub has to show
  int min_thirds{2};
  /// at the most [probability]
  double most{0.8};
};

/// A line at twice the mains frequency.
struct MainsModel {
  /// half-width of the search for twice the mains [fraction]
  double search{0.002};
  /// width of the floor beside that line [fraction]
  double floor{0.2};
  /// a shaft order nearer than this explains the line as well [lines]
  double apart_lines{3.0};
  /// weight of the line's share in the velocity up to 1000 Hz
  double weight{3.0};
  /// at which it is even [fraction]
  double at{0.4};
  /// beyond it says no more [fraction]
  double share_most{0.9};
  /// at the most, mains known [probability]
  double max_known{0.9};
  /// at the most, mains guessed [probability]
  double max_guessed{0.7};
};

/// Broken rotor bars.
struct RotorBarsModel {
  /// a motor that slips more is not in order, or has other poles [fraction]
  double max_slip{0.08};
  /// line and sideband are both three lines wide at the foot [lines]
  double apart_lines{5.0};
  /// the slip frequency times the poles is less than this [orders]
  double max_pass{0.4};
  /// score where the sidebands are even
  double bias{-0.5};
  /// weight of the weaker sideband over 1x
  double weight{1.2};
  /// at which it is even [ratio]
  double at{0.03};
  /// below it says no more [ratio]
  double least{0.002};
  /// at the most, pole pairs known [probability]
  double max_known{0.85};
  /// at the most, pole pairs guessed [probability]
  double max_guessed{0.7};
  /// times what the level of 1x allows to other causes [ratio]
  double level{2.0};
};

/// Electrical erosion.
struct ErosionModel {
  /// fluting repeats a line from here [Hz]
  double low_hz{1500.0};
  /// up to here [Hz]
  double high_hz{6000.0};
  /// cells of the spectrum an order
  int cells_per_order{30};
  /// spacings are looked for from here [orders]
  double lowest{2.2};
  /// up to here [orders]
  double highest{12.0};
  /// spacings nearer to a whole order are combs of gears or blades [orders]
  double whole_apart{0.06};
  /// likeness at twice the spacing over that at once, at least [ratio]
  double twice_share{0.5};
  /// a lesser likeness is chance [likeness]
  double least{0.45};
  /// with more shocks it is a spall [kurtosis]
  double max_shocks{4.5};
  /// probability by likeness
  double weight{0.8};
  /// above this [likeness]
  double from{0.4};
  /// vibration alone never proves it [probability]
  double most{0.35};
};

/// Poor lubrication.
struct LubricationModel {
  /// a starved contact hisses above this [Hz]
  double low_hz{2000.0};
  /// and the recording has to reach this [Hz]
  double min_reach_hz{5000.0};
  /// less is no hiss [m/s2 rms]
  double min_hiss{3.0};
  /// in which its rhythm is looked for
  int blocks_per_revolution{40};
  /// with more shocks it is not the grease [kurtosis]
  double max_shocks{8.0};
  /// weight of the level
  double weight{1.5};
  /// at which it is even [m/s2 rms]
  double at{25.0};
  /// at the most [probability]
  double most{0.45};
};

/// All of them. A value: pass another one to weigh with other constants.
struct ModelParameters {
  SlipModel slip{};
  RecordModel record{};
  BandsModel bands{};
  FamilyModel family{};
  JudgementModel judgement{};
  ComponentModel component{};
  TriedModel tried{};
  ForeignModel foreign{};
  UnknownModel unknown{};
  NearModel near{};
  ImpactsModel impacts{};
  EndsModel ends{};
  OwnReferenceModel own_reference{};
  MotionModel motion{};
  TachoModel tacho{};
  SpeedModel speed{};
  LinesModel lines{};
  TrackModel track{};
  CausesModel causes{};
  ShaftModel shaft{};
  UnbalanceModel unbalance{};
  MisalignmentModel misalignment{};
  LoosenessModel looseness{};
  RubbingModel rubbing{};
  MainsModel mains{};
  RotorBarsModel rotor_bars{};
  ErosionModel erosion{};
  LubricationModel lubrication{};
};

}  // namespace bearingdsp
