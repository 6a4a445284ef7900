// Recording without hardware: ALSA reads the samples from a file (its file and null plugins), or
// from a device that is gone after a while (tests/cli/alsa).
#include <doctest/doctest.h>
#include <fcntl.h>
#include <spawn.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/machine/recording_place.hpp"
#include "cli/run.hpp"
#include "sample_ring.hpp"
#include "sound_input.hpp"
#include "support/skip.hpp"

using test::Folder;
using test::has;
using test::Ran;
namespace fs = std::filesystem;
using namespace bearingdsp;

namespace {

using Samples = std::vector<std::int32_t>;

/// Sample n is n steps of 24 bits: every stretch of it shows where it was taken.
Samples counted(std::size_t n) {
  Samples x;
  for (std::size_t i = 0; i < n; ++i) x.push_back(static_cast<std::int32_t>(i << 8U));
  return x;
}

/// A home whose sound devices are those of the test.
class Devices {
 public:
  Devices() {
    folder_.write("asoundrc",
                  "</usr/share/alsa/alsa.conf>\n"
                  "pcm.nothing { type null }\n"
                  "pcm.from_file { type file slave.pcm \"nothing\" file \"/dev/null\" infile \"" +
                      folder_.file("samples.raw") +
                      "\" format \"raw\" }\n"
                      // What the null device delivers by itself is whatever was in the memory.
                      "pcm.silence { type file slave.pcm \"nothing\" file \"/dev/null\" infile "
                      "\"/dev/zero\" format \"raw\" }\n" +
                      unplugged());
    for (const char* name : {"ALSA_CONFIG_PATH", "HOME", "XDG_RUNTIME_DIR"})
      before_.emplace_back(name, std::getenv(name) == nullptr ? "" : std::getenv(name));
    ::setenv("ALSA_CONFIG_PATH", folder_.file("asoundrc").c_str(), 1);
    ::setenv("HOME", folder_.file("").c_str(), 1);
    ::unsetenv("XDG_RUNTIME_DIR");
    deliver(counted(1000));
  }
  ~Devices() {
    for (const auto& [name, value] : before_)
      value.empty() ? ::unsetenv(name.c_str()) : ::setenv(name.c_str(), value.c_str(), 1);
  }
  Devices(const Devices&) = delete;
  Devices& operator=(const Devices&) = delete;

  /// What the device "from_file" delivers.
  void deliver(const Samples& x) const {
    std::ofstream out{folder_.file("samples.raw"), std::ios::binary};
    out.write(reinterpret_cast<const char*>(x.data()),
              static_cast<std::streamsize>(x.size() * sizeof x.front()));
  }
  /// From now on it delivers what is written to a pipe; the path of that.
  [[nodiscard]] std::string deliver_from_pipe() const {
    fs::remove(folder_.file("samples.raw"));
    REQUIRE(::mkfifo(folder_.file("samples.raw").c_str(), 0600) == 0);
    return folder_.file("samples.raw");
  }
  /// Why the tests cannot run here; empty if they can.
  [[nodiscard]] static std::string missing() {
    const Ran r = test::run({"record", "--list"});
    if (r.code != 0) return r.err;
    return has(r.out, "from_file") ? "" : "PortAudio does not reach ALSA here: " + r.out;
  }

 private:
  /// Devices that are gone after a while, or much too fast; nothing in a build without ALSA.
  static std::string unplugged() {
    const std::string plugin{UNPLUGGED_DEVICE};
    if (plugin.empty()) return "";
    return "pcm_type.unplugged { lib \"" + plugin + "\" }\n" + "ctl_type.gain { lib \"" + plugin +
           "\" }\n" + "pcm.unplugged { type unplugged frames 100000 }\n" +
           "ctl.unplugged { type gain }\n" +
           "pcm.slow { type unplugged frames 960000 overrun_at 90000 }\n" +
           "pcm.flood { type unplugged frames 400000 }\n" +
           "pcm.endless { type unplugged frames 2000000000 }\n";
  }

  Folder folder_;
  std::vector<std::pair<std::string, std::string>> before_;
};

/// Runs a line of the shell, in which "$tool" is the tool.
Ran shell(const std::string& line) {
  const Folder folder;
  const std::string command = "tool='" + test::binary() + "'; ( " + line + " ) >'" +
                              folder.file("out") + "' 2>'" + folder.file("err") + "' </dev/null";
  const int status = std::system(command.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : 128, folder.read("out"), folder.read("err")};
}
std::string one_line(const Ran& r, const std::string& part) {
  std::string found;
  for (std::size_t at = 0; at < r.err.size();) {
    const std::size_t end = std::min(r.err.find('\n', at), r.err.size());
    const std::string line = r.err.substr(at, end - at);
    if (has(line, part)) {
      CHECK_MESSAGE(found.empty(), r.err);
      found = line;
    }
    at = end + 1;
  }
  return found;
}

/// The samples of a channel as they were delivered.
Samples stored(const std::string& path, std::size_t channel = 0) {
  const auto capture = read_capture(path);
  REQUIRE_MESSAGE(capture.has_value(), capture.error().message());
  Samples x;
  for (const double v : capture->channels.at(channel).samples)
    x.push_back(static_cast<std::int32_t>(v * 2147483648.0));
  return x;
}
bool begins_with(const Samples& whole, const Samples& begin) {
  return begin.size() <= whole.size() && std::equal(begin.begin(), begin.end(), whole.begin());
}
RecordingNotes notes_beside(const std::string& recording) {
  const auto notes = read_sidecar(recording);
  REQUIRE_MESSAGE(notes.has_value(), notes.error().message());
  REQUIRE(notes->has_value());
  return **notes;
}
bool leftovers(const Folder& f) {
  return std::any_of(
      fs::recursive_directory_iterator{f.file("")}, fs::recursive_directory_iterator{},
      [](const fs::directory_entry& entry) { return entry.path().extension() == ".part"; });
}

}  // namespace

TEST_CASE("record: lists the inputs, also as JSON") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Ran list = test::run({"record", "--list"});
  CHECK(has(list.out, "from_file  (ALSA"));
  const Ran json = test::run({"record", "--list", "--json"});
  const auto inputs = nlohmann::json::parse(json.out);
  CHECK(inputs.size() >= 2);
  CHECK(inputs[0]["number"] == 1);
  CHECK(inputs[0].contains("rate_hz"));
}

TEST_CASE("record: the samples of the device come through, as WAV and as FLAC") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  const Samples x = counted(4 * 48000);
  devices.deliver(x);
  for (const char* name : {"a.wav", "a.flac"}) {
    const Ran r = test::run({"record", "--input", "from_file", "--seconds", "1.5", "--rate",
                             "48000", "--listen", "0", "--only-record", "--gain", "+12 dB", "--rpm",
                             "1480", "--out", f.file(name)});
    INFO(r.err);
    REQUIRE(r.code == 0);
    const Samples got = stored(f.file(name));
    CHECK(got.size() == 72000);
    CHECK(begins_with(x, got));
    const RecordingNotes n = notes_beside(f.file(name));
    CHECK(n.input == "from_file");
    CHECK(n.gain == "+12 dB");
    CHECK(n.speed->value() == 1480);
    CHECK(n.findings.empty());
    CHECK(n.taken.date.size() == 10);
    CHECK_FALSE(n.taken.time.empty());
  }
  // Two channels take turns.
  const Ran two =
      test::run({"record", "--input", "from_file", "--seconds", "1", "--rate", "48000",
                 "--channels", "2", "--listen", "0", "--only-record", "--out", f.file("two.wav")});
  INFO(two.err);
  REQUIRE(two.code == 0);
  CHECK(stored(f.file("two.wav"), 0)[7] == x[14]);
  CHECK(stored(f.file("two.wav"), 1)[7] == x[15]);
  CHECK(stored(f.file("two.wav"), 1).size() == 48000);
  CHECK_FALSE(leftovers(f));
}

TEST_CASE("record: what was listened to is not recorded, and silence is named before it starts") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  const Ran r = test::run({"record", "--input", "silence", "--seconds", "1", "--rate", "48000",
                           "--only-record", "--out", f.file("a.wav")});
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(one_line(r, "all samples are 0"), "check sensor, cable and supply"));
  CHECK(r.err.find("all samples are 0") < r.err.find("recording 1 s"));
  CHECK(stored(f.file("a.wav")).size() == 48000);
  // Nothing is written before the end: an input that is not there costs no file.
  const Ran none = test::run({"record", "--input", "no such", "--out", f.file("b.wav")});
  CHECK(none.code == 2);
  CHECK(has(none.err, "--list"));
  CHECK_FALSE(fs::exists(f.file("b.wav")));
  CHECK_FALSE(fs::exists(f.file("b.wav.toml")));
}

TEST_CASE("record: stopped by a signal, it is kept and says so") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  for (const int signal : {SIGINT, SIGTERM}) {
    const Folder f;
    const std::string pipe = devices.deliver_from_pipe();
    const int feed = ::open(pipe.c_str(), O_RDWR);
    REQUIRE(feed >= 0);
    std::vector<std::string> words{test::binary(), "record", "--input", "from_file",
                                   "--seconds",    "60",     "--rate",  "48000",
                                   "--listen",     "0",      "--out",   f.file("a.wav")};
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 2, f.file("err").c_str(), O_WRONLY | O_CREAT, 0600);
    pid_t child = 0;
    REQUIRE(posix_spawn(&child, words.front().c_str(), &actions, nullptr, argv.data(), environ) ==
            0);
    posix_spawn_file_actions_destroy(&actions);
    // Two seconds, and until all of them were taken.
    const Samples x = counted(2 * 48000);
    const auto bytes = static_cast<ssize_t>(x.size() * sizeof x.front());
    CHECK(::write(feed, x.data(), static_cast<std::size_t>(bytes)) == bytes);
    int left = 1;
    while (left > 16384 && waitpid(child, nullptr, WNOHANG) == 0) {
      std::this_thread::sleep_for(std::chrono::milliseconds{10});
      REQUIRE(::ioctl(feed, FIONREAD, &left) == 0);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds{300});
    REQUIRE(::kill(child, signal) == 0);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    ::close(feed);
    const std::string err = f.read("err");
    INFO(err);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 2);
    CHECK(has(err, "of 60 s; what was recorded is kept"));
    // What the pipe holds when it is opened; later reads of the device may fall short of a period,
    // and it fills what is left of that one.
    Samples got = stored(f.file("a.wav"));
    CHECK(got.size() > 48000);
    got.resize(4096);
    CHECK(begins_with(x, got));
    const RecordingNotes n = notes_beside(f.file("a.wav"));
    REQUIRE(n.findings.size() == 1);
    CHECK(n.findings[0].kind == FindingKind::truncated);
    CHECK(has(n.findings[0].what, "was stopped after"));
    CHECK_FALSE(leftovers(f));
  }
}

TEST_CASE("record: a full disk gives one line and keeps what was recorded") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  const Samples x = counted(4 * 48000);
  devices.deliver(x);
  for (const char* name : {"a.wav", "a.flac"}) {
    // 400 blocks of 512 bytes: 1.4 s of 3.
    const Ran r = shell(
        "ulimit -f 400; exec \"$tool\" record --input from_file --seconds 3 --rate "
        "48000 --listen 0 --out '" +
        f.file(name) + "'");
    INFO(r.err);
    CHECK(r.code == 2);
    const std::string line = one_line(r, "what was recorded is kept");
    CHECK(has(line, "File too large"));
    // FLAC is made at the end, for which there is no room.
    const std::string kept = f.file(name) + (std::string{name} == "a.flac" ? ".wav" : "");
    CHECK(has(line, kept + ":"));
    const Samples got = stored(kept);
    CHECK(got.size() > 60000);
    CHECK(got.size() < 72000);
    CHECK(begins_with(x, got));
    REQUIRE(notes_beside(kept).findings.size() == 1);
    CHECK(has(notes_beside(kept).findings[0].what, "File too large"));
  }
  CHECK(f.count() == 4);
}

TEST_CASE("record: an unplugged device gives one line and what was recorded is kept") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  if (!has(test::run({"record", "--list"}).out, "unplugged"))
    return test::skip("ALSA cannot load the device of this test");
  const Folder f;
  const Ran r = test::run({"record", "--input", "unplugged", "--seconds", "10", "--rate", "48000",
                           "--listen", "0", "--out", f.file("a.wav")});
  INFO(r.err);
  CHECK(r.code == 2);
  CHECK(has(one_line(r, "what was recorded is kept"),
            "the input 'unplugged' ended after 2.1 of 10 s"));
  const Samples got = stored(f.file("a.wav"));
  CHECK(got.size() == 100000);
  CHECK(begins_with(counted(100000), got));
  REQUIRE(notes_beside(f.file("a.wav")).findings.size() == 1);
  CHECK(notes_beside(f.file("a.wav")).findings[0].kind == FindingKind::truncated);
  // The mixer of that device tells its gain; 39 steps of 0.75 dB above -17.25 dB.
  CHECK(notes_beside(f.file("a.wav")).gain == "Capture +12.0 dB, Boost 2 of 0 to 3");
  const Ran typed =
      test::run({"record", "--input", "unplugged", "--seconds", "1", "--rate", "48000", "--listen",
                 "0", "--only-record", "--gain", "knob at 5", "--out", f.file("b.wav")});
  INFO(typed.err);
  CHECK(typed.code == 0);
  CHECK(notes_beside(f.file("b.wav")).gain ==
        "knob at 5 (mixer: Capture +12.0 dB, Boost 2 of 0 to 3)");
}

TEST_CASE("record: overruns of device and memory are counted, and named where they were") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const auto list = cli::input_devices();
  REQUIRE(list.has_value());
  const auto flood = cli::choose_input(*list, "flood");
  if (!flood) return test::skip("ALSA cannot load the device of this test");
  // The device reports it: it is in the description and in the diagnosis.
  const Folder f;
  const Ran r = test::run({"record", "--input", "slow", "--seconds", "4", "--rate", "48000",
                           "--listen", "0", "--only-record", "--out", f.file("a.wav")});
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(one_line(r, "overrun"), "1 overrun of the input, first at 1.875 s; record again"));
  CHECK(stored(f.file("a.wav")).size() == 192000);
  REQUIRE(notes_beside(f.file("a.wav")).findings.size() == 1);
  CHECK(notes_beside(f.file("a.wav")).findings[0].kind == FindingKind::gap);
  CHECK(has(test::run({"diagnose", f.file("a.wav"), "--unit", "g", "--json"}).out,
            "1 overrun of the input"));
  // Nobody reads: memory for 4 s is full after 192000 of 400000 samples.
  auto input = cli::open_input({*flood, 1, 48000, 0});
  REQUIRE(input.has_value());
  const auto lost = [&] {
    std::uint64_t frames = 0;
    for (const cli::InputLoss& loss : (*input)->losses()) frames += loss.frames;
    return frames;
  };
  for (int i = 0; i < 1000 && lost() < 208000; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds{10});
  Samples got(400000);
  got.resize((*input)->read(got));
  CHECK(got == counted(192000));
  const auto losses = (*input)->losses();
  REQUIRE(losses.size() == 1);
  CHECK(losses[0].at == 192000);
  CHECK(losses[0].frames == 208000);
}

TEST_CASE("record: on a terminal a bar shows the level until Enter, then the time") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  if (!has(test::run({"record", "--list"}).out, "endless"))
    return test::skip("ALSA cannot load the device of this test");
  const Folder f;
  test::Terminal terminal{{"record", "--input", "endless", "--seconds", "2", "--rate", "48000",
                           "--only-record", "--out", f.file("a.wav")}};
  // It waits for Enter as long as it takes, and draws meanwhile.
  CHECK(terminal.shows("Enter starts"));
  CHECK(terminal.shows("0 dB [##############################]"));
  CHECK_FALSE(has(terminal.text(), "recording 2 s"));
  CHECK_FALSE(fs::exists(f.file("a.wav")));
  terminal.type("\n");
  CHECK(terminal.shows("recording 2 s from 'endless'"));
  const int code = terminal.end();
  INFO(terminal.text());
  CHECK(code == 0);
  CHECK(has(terminal.text(), "of 2 s"));
  CHECK(stored(f.file("a.wav")).size() == 96000);
}

TEST_CASE("record: --report gives the page of the diagnosis, refused before anything is recorded") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  const std::vector<std::string> words{"record", "--input", "from_file",    "--seconds",
                                       "1",      "--rate",  "48000",        "--listen",
                                       "0",      "--out",   f.file("a.wav")};
  const auto with = [&](std::vector<std::string> more) {
    more.insert(more.begin(), words.begin(), words.end());
    return test::run(more);
  };
  for (const std::vector<std::string>& wrong :
       std::vector<std::vector<std::string>>{{"--report", f.file("a.txt")},
                                             {"--report", f.file("a.wav")},
                                             {"--report", f.file("no/a.html")},
                                             {"--report", f.file("a.html"), "--only-record"}}) {
    const Ran r = with(wrong);
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    CHECK(f.count() == 0);
  }
  const Ran r = with({"--report", f.file("a.html"), "--bearing", "6205", "--rpm", "1480"});
  INFO(r.err << r.out);
  CHECK(r.code != 2);
  CHECK(has(f.read("a.html"), "<!doctype html>"));
  CHECK(has(f.read("a.html"), "a.wav"));
}

TEST_CASE("record: a plant folder gives sensor, channel, speed and name, and the answer follows") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  // A damaged outer ring at 1480 rpm; full scale is 128 m/s2.
  f.write("plan.json", "{\"bits\": 16, \"range_m_s2\": 128}");
  Samples x;
  for (const std::int32_t v : stored(f.simulated(
           "made.wav", {"--plan", f.file("plan.json"), "--rpm", "1480", "--rate", "25600",
                        "--duration", "11", "--noise", "0.5", "--defect", "outer:10"})))
    x.insert(x.end(), {0, v});  // on the second channel
  devices.deliver(x);
  REQUIRE(test::run({"init", f.file("mill"), "--mains", "50"}).code == 0);
  const auto at_mill = [&](const std::string& words) {
    return shell("cd '" + f.file("mill") + "' && \"$tool\" " + words);
  };
  REQUIRE(at_mill("sensor add usb --unit m/s2 --full-scale 128 --channel 2 --rate 25600 --input "
                  "from_file")
              .code == 0);
  REQUIRE(at_mill("machine add fan --bearing 6205 --rpm 1480 --power 1.5 --frame 'IEC "
                  "90L' --mounting rigid")
              .code == 0);
  const Ran r = at_mill("record --listen 0");
  INFO(r.err << r.out);
  CHECK(r.code == 1);
  CHECK(has(r.err, "recording 10 s from 'from_file', 2 channels at 25600"));
  CHECK(has(r.err, "sensor usb"));
  CHECK(has(r.out, "BEARING FAULT: outer ring"));
  CHECK(has(r.out, "10.0 s at 25600 Hz"));
  std::string recording;
  for (const auto& entry : fs::directory_iterator{f.file("mill/recordings")})
    if (entry.path().extension() == ".wav") recording = entry.path().string();
  REQUIRE(has(recording, "/fan_20"));
  const RecordingNotes n = notes_beside(recording);
  CHECK(n.machine == "fan");
  CHECK(n.sensor == "usb");
  CHECK_FALSE(n.point.empty());
  // Later the file alone is enough, and a survey knows it.
  const Ran again = at_mill("diagnose -q recordings/fan_*.wav");
  CHECK(again.code == 1);
  CHECK(at_mill("route run -q").code == 1);
}

TEST_CASE("record: --repeat goes through the stops, reading its answers from a pipe") {
  const Devices devices;
  if (const std::string why = Devices::missing(); !why.empty()) return test::skip(why);
  const Folder f;
  devices.deliver(counted(48000));
  REQUIRE(test::run({"init", f.file("mill")}).code == 0);
  f.write("mill/machines.toml",
          "[[machine]]\nname = \"fan\"\npoint = [{ end = \"DE\" }, { end = \"NDE\" }]\n"
          "[[machine]]\nname = \"saw\"\npoint = [{ end = \"DE\" }]\n");
  const std::string record =
      "\"$tool\" record --repeat --input from_file --rate 48000 --seconds 0.5 --listen 0 "
      "--only-record";
  const auto recorded = [&] {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator{f.file("mill/recordings")})
      if (entry.path().extension() == ".wav") names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
  };
  const Ran r = shell("cd '" + f.file("mill") + "' && printf 'what\\n\\ns\\n\\n' | " + record);
  INFO(r.err);
  CHECK(r.code == 0);
  CHECK(has(r.err, "1 of 3: fan, DE"));
  CHECK(has(r.err, "s skips"));
  REQUIRE(recorded().size() == 2);
  CHECK(has(recorded()[0], "fan_"));
  CHECK(has(recorded()[0], "_DE.wav"));
  CHECK(has(recorded()[1], "saw_"));
  // q ends; so does the end of the input.
  CHECK(shell("cd '" + f.file("mill") + "' && echo q | " + record).code == 0);
  CHECK(shell("cd '" + f.file("mill") + "' && " + record).code == 0);
  CHECK(recorded().size() == 2);
  CHECK(shell("cd '" + f.file("mill") + "' && echo | " + record + " --out a.wav").code == 2);
}

TEST_CASE("record: wrong words are one line each, and no file is made") {
  const Folder f;
  for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
           {"record", "--out", f.file("a.mp3")},
           {"record", "--repeat", "--out", f.file("a.wav")},
           {"record", "--seconds", "0", "--out", f.file("a.wav")},
           {"record", "--bearing", "no such", "--out", f.file("a.wav")},
           {"record", "--sensor", "no such", "--out", f.file("a.wav")}}) {
    const Ran r = test::run(words);
    INFO(r.err);
    CHECK(r.code == 2);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    CHECK(f.count() == 0);
  }
}

TEST_CASE("record: an input is chosen by its number, its name, or a part of one name") {
  const std::vector<cli::InputDevice> devices{{"USB sensor", "ALSA", 2, 48000, false},
                                              {"USB", "ALSA", 1, 44100, true},
                                              {"Line", "", 2, 1, false}};
  CHECK(cli::choose_input(devices, "").value() == 1);
  CHECK(cli::choose_input(devices, "1").value() == 0);
  CHECK(cli::choose_input(devices, "USB").value() == 1);
  CHECK(cli::choose_input(devices, "sens").value() == 0);
  CHECK(cli::choose_input(devices, "line").value() == 2);
  CHECK(cli::choose_input(devices, "us").error().code == Errc::bad_argument);
  CHECK(cli::choose_input(devices, "4").error().code == Errc::not_found);
  CHECK(cli::choose_input({}, "").error().code == Errc::not_found);
}

TEST_CASE("record: samples pass from one thread to the other, and what finds no room is counted") {
  cli::SampleRing ring{1000};
  Samples in = counted(100000);
  Samples out;
  std::thread writer{[&] {
    for (std::size_t at = 0; at < in.size();)
      at += ring.push(std::span{in}.subspan(at, std::min<std::size_t>(333, in.size() - at)));
  }};
  Samples block(271);
  while (out.size() < in.size()) {
    const std::size_t n = ring.pop(block);
    out.insert(out.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(n));
  }
  writer.join();
  CHECK(out == in);
  CHECK(ring.written() == in.size());
  CHECK(ring.push(in) == 1000);
  CHECK(ring.room() == 0);
  CHECK(ring.push(in) == 0);
}
