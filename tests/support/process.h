#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

namespace gyle::test {

// Polls until `condition` holds; false after `patience`.
inline bool eventually(const std::function<bool()>& condition,
                       std::chrono::milliseconds patience = std::chrono::seconds(20)) {
  const auto end = std::chrono::steady_clock::now() + patience;
  while (!condition()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return true;
}

// A program run by a test; killed by the destructor, and when the test dies.
class Process {
 public:
  // Standard output and error are appended to `log`; standard input is `input`, or empty.
  explicit Process(std::vector<std::string> command, const std::filesystem::path& log = "/dev/null",
                   const std::filesystem::path& input = "/dev/null") {
    std::vector<char*> arguments;
    for (std::string& word : command) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    pid_ = fork();
    if (pid_ < 0) throw std::runtime_error("cannot fork");
    if (pid_ == 0) {
      prctl(PR_SET_PDEATHSIG, SIGKILL);
      const int in = ::open(input.c_str(), O_RDONLY);
      const int out = ::open(log.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
      if (in < 0 || out < 0 || dup2(in, 0) < 0 || dup2(out, 1) < 0 || dup2(out, 2) < 0) _exit(126);
      execvp(arguments[0], arguments.data());
      _exit(127);
    }
  }
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  ~Process() {
    if (!status_) {
      send(SIGKILL);
      wait();
    }
  }

  void send(int signal) const { ::kill(pid_, signal); }
  pid_t pid() const { return pid_; }

  bool running() {
    if (!status_) {
      int status = 0;
      if (waitpid(pid_, &status, WNOHANG) == pid_) status_ = status;
    }
    return !status_;
  }

  // Exit code, or minus the signal that ended it; nothing when it still runs after `patience`.
  std::optional<int> wait(std::chrono::milliseconds patience = std::chrono::seconds(30)) {
    if (!eventually([this] { return !running(); }, patience)) return std::nullopt;
    return WIFEXITED(*status_) ? WEXITSTATUS(*status_) : -WTERMSIG(*status_);
  }

 private:
  pid_t pid_;
  std::optional<int> status_;
};

}  // namespace gyle::test
