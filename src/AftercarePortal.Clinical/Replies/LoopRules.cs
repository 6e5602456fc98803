namespace AftercarePortal.Clinical.Replies;

/// <summary>When an endless exchange with a machine ends.</summary>
/// <param name="WithinMinutes">The time in which replies are counted.</param>
/// <param name="PersonAfter">From so many replies on, texts below urgent get no reply of a machine; a person looks.</param>
/// <param name="SilentAfter">From so many on, no text gets one, unless it makes a report urgent or worse, or holds an urgent sign not written before.</param>
public sealed record LoopRules(int WithinMinutes, int PersonAfter, int SilentAfter);
