#pragma once

#include <condition_variable>
#include <cstddef>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>
#include <type_traits>
#include <vector>

namespace platewise {

// Makes result i = make(i) for i in [0, count) on `workers` threads and hands each to take(result, i) in the
// order of i on the calling thread. At most 2 * workers results wait at any time, so that memory is bounded
// by the workers and not by the count. With one worker nothing leaves the calling thread. An exception of
// `make` is thrown again here in its turn; `make` must be safe to call from several threads.
template <class Make, class Take>
void in_order(std::size_t count, std::size_t workers, Make make, Take take) {
  using Made = std::invoke_result_t<Make, std::size_t>;
  if (workers <= 1 || count <= 1) {
    for (std::size_t i = 0; i < count; ++i) take(make(i), i);
    return;
  }
  struct Slot {
    std::optional<Made> made;
    std::exception_ptr failed;
  };
  std::mutex mutex;
  std::condition_variable changed;
  std::vector<Slot> slots(2 * workers);  // result i waits in slot i % size
  std::size_t next = 0;
  std::size_t taken = 0;
  bool stopped = false;

  const auto work = [&] {
    std::unique_lock lock(mutex);
    while (true) {
      changed.wait(lock, [&] { return stopped || next >= count || next < taken + slots.size(); });
      if (stopped || next >= count) return;
      const std::size_t i = next++;
      lock.unlock();
      Slot slot;
      try {
        slot.made = make(i);
      } catch (...) {
        slot.failed = std::current_exception();
      }
      lock.lock();
      slots[i % slots.size()] = std::move(slot);
      changed.notify_all();
    }
  };

  // Joined on every way out, also when `take` throws.
  struct Crew {
    std::mutex& mutex;
    std::condition_variable& changed;
    bool& stopped;
    std::vector<std::thread> threads;
    ~Crew() {
      {
        const std::lock_guard lock(mutex);
        stopped = true;
      }
      changed.notify_all();
      for (std::thread& thread : threads) thread.join();
    }
  } crew{mutex, changed, stopped, {}};
  for (std::size_t w = 0; w < workers; ++w) crew.threads.emplace_back(work);

  for (std::size_t i = 0; i < count; ++i) {
    std::unique_lock lock(mutex);
    Slot& slot = slots[i % slots.size()];
    changed.wait(lock, [&] { return slot.made.has_value() || slot.failed; });
    Slot mine = std::move(slot);
    slot = {};
    taken = i + 1;
    lock.unlock();
    changed.notify_all();
    if (mine.failed) std::rethrow_exception(mine.failed);
    take(*std::move(mine.made), i);
  }
}

}  // namespace platewise
