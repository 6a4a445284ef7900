#pragma once
#include <vector>

#include "bearingdsp/history/end_judgement.hpp"
#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/report/history.hpp"
#include "terminal.hpp"

namespace cli {

/// What a survey shows: every point of the route, worst first, and what the recordings of one
/// bearing say together.
struct RouteAnswer {
  std::vector<bearingdsp::Standing> standings;
  std::vector<bearingdsp::EndStanding> ends;
};

/// Of all standings of the store only those of this route: the store may hold other routes too.
[[nodiscard]] bearingdsp::Result<RouteAnswer> route_answer(
    const bearingdsp::Route& route, const std::vector<bearingdsp::Standing>& all,
    bearingdsp::History& history);
/// The worst point; a recording that failed outranks it.
[[nodiscard]] Exit route_exit(const RouteAnswer& answer, const bearingdsp::RouteRun& run);
[[nodiscard]] bearingdsp::Report list_of(const bearingdsp::Route& route, const RouteAnswer& answer,
                                         const bearingdsp::RouteRun& run);

}  // namespace cli
