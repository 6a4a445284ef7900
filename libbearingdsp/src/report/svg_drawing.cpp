#include "svg_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "bearingdsp/triage/triage.hpp"
#include "svg_panel.hpp"

namespace bearingdsp::svg {
namespace motor_drawing {
namespace {

constexpr std::string_view ground = "#fdfdfb", line = "#3b3b3b", marked_colour = "#D55E00";

std::string box(double x, double y, double w, double h, std::string_view fill = ground,
                double radius = 2) {
  return fmt::format(
      "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\" fill=\"{}\" stroke=\"{}\" "
      "stroke-width=\"1.6\"/>\n",
      x, y, w, h, radius, fill, line);
}

std::string stroke(double x1, double y1, double x2, double y2, double width = 1) {
  return fmt::format(
      "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{}\" stroke-width=\"{}\"/>\n", x1, y1,
      x2, y2, line, width);
}

std::string words(double x, double y, std::string_view text, std::string_view anchor = "middle") {
  return fmt::format(
      "<text class=\"label\" x=\"{}\" y=\"{}\" text-anchor=\"{}\" fill=\"{}\" "
      "font-size=\"15\">{}</text>\n",
      x, y, anchor, ink, text);
}

/// The motor from the side, fan at the left, shaft at the right.
std::string side_view() {
  std::string out = box(40, 92, 62, 128, ground, 10);  // fan cowl
  for (int i = 0; i < 6; ++i) out += stroke(48, 108 + 19 * i, 48, 118 + 19 * i, 2);
  out += box(102, 98, 26, 116);   // end shield, NDE
  out += box(128, 88, 250, 136);  // frame
  for (int i = 0; i < 8; ++i) out += stroke(134, 102 + 15 * i, 372, 102 + 15 * i);
  out += box(205, 58, 90, 30);                                       // terminal box
  out += box(378, 98, 26, 116);                                      // end shield, DE
  out += box(404, 126, 10, 60);                                      // bearing cap
  out += box(414, 147, 76, 18);                                      // shaft
  for (const double x : {146.0, 306.0}) out += box(x, 224, 54, 16);  // feet
  out += box(110, 240, 290, 20);                                     // base
  for (int i = 0; i < 19; ++i) out += stroke(116 + 15 * i, 272, 128 + 15 * i, 260);
  out += words(71, 84, "NDE (fan)") + words(462, 136, "DE (shaft)");
  return out;
}

/// From the drive end, below the side view.
std::string end_view() {
  constexpr double x = 130, y = 376;
  std::string out = fmt::format(
      "<circle cx=\"{0}\" cy=\"{1}\" r=\"62\" fill=\"{2}\" stroke=\"{3}\" stroke-width=\"1.6\"/>\n"
      "<circle cx=\"{0}\" cy=\"{1}\" r=\"30\" fill=\"none\" stroke=\"{3}\"/>\n"
      "<circle cx=\"{0}\" cy=\"{1}\" r=\"10\" fill=\"{2}\" stroke=\"{3}\" stroke-width=\"1.6\"/>\n",
      x, y, ground, line);
  out += box(x - 78, y + 58, 40, 14) + box(x + 38, y + 58, 40, 14);
  out += fmt::format(
      "<path d=\"M {:.1f} {:.1f} A 30 30 0 0 0 {:.1f} {:.1f}\" fill=\"none\" stroke=\"{}\" "
      "stroke-width=\"6\"/>\n",
      x - 24, y + 18, x + 24, y + 18, line);
  out += words(222, 380, "seen from the drive end", "start");
  return out;
}

struct At {
  double x, y;
};

/// Where each place is drawn, by MotorPlace; some twice.
std::vector<At> positions(std::size_t place) {
  switch (static_cast<MotorPlace>(place)) {
    case MotorPlace::de_horizontal:
      return {{391, 156}, {68, 376}};
    case MotorPlace::de_vertical:
      return {{391, 92}, {130, 314}};
    case MotorPlace::de_axial:
      return {{418, 196}};
    case MotorPlace::nde_horizontal:
      return {{115, 156}};
    case MotorPlace::nde_vertical:
      return {{115, 92}};
    case MotorPlace::nde_axial:
      return {{36, 156}};
    case MotorPlace::frame:
      return {{253, 206}};
    case MotorPlace::feet:
      return {{173, 230}, {333, 230}};
    case MotorPlace::base:
      return {{128, 252}, {382, 252}};
  }
  return {};
}

std::string dot(const At& at, std::size_t number, bool marked) {
  return fmt::format(
      "<circle cx=\"{0}\" cy=\"{1}\" r=\"{2}\" fill=\"{3}\" stroke=\"{4}\" "
      "stroke-width=\"1.5\"/>\n<text x=\"{0}\" y=\"{5}\" text-anchor=\"middle\" "
      "font-size=\"{6}\" font-weight=\"bold\" fill=\"{7}\">{8}</text>\n",
      at.x, at.y, marked ? 12 : 8, marked ? marked_colour : ground, marked ? marked_colour : line,
      at.y + (marked ? 5 : 3.6), marked ? 14 : 10, marked ? ground : ink, number);
}

std::string motor(const std::vector<std::size_t>& marked) {
  std::string out =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"16 48 490 402\" role=\"img\" "
      "aria-label=\"Motor with the places for a sensor\">\n";
  out += side_view() + end_view();
  std::string above;
  for (std::size_t i = 0; i < motor_place_count; ++i) {
    const bool hit = std::find(marked.begin(), marked.end(), i) != marked.end();
    for (const At& at : positions(i)) (hit ? above : out) += dot(at, i + 1, hit);
  }
  return out + above + "</svg>\n";
}

}  // namespace
}  // namespace motor_drawing

std::string picture(const ReportDrawing& drawing) {
  switch (drawing.subject) {
    case DrawingSubject::motor:
      return motor_drawing::motor(drawing.marked);
  }
  return {};
}

}  // namespace bearingdsp::svg
