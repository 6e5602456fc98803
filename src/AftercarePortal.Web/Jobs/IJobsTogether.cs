using NodaTime;

namespace AftercarePortal.Web.Jobs;

/// <summary>Does several everyday jobs of its kind, none tried before, at once: each as <see cref="IJobHandler.Run"/> would, with the same questions and the same rules.</summary>
internal interface IJobsTogether : IJobHandler
{
    /// <summary>Most jobs at once, 2 or more.</summary>
    int Most { get; }

    /// <summary>Does them. Throwing means: keep them all, and try each alone later.</summary>
    /// <param name="until">From then on it begins nothing: what was begun must end within the lease.</param>
    /// <returns>Subjects that are done. Every other one goes back, and is done alone.</returns>
    Task<IReadOnlyCollection<string>> Run(IReadOnlyList<string> subjects, Instant until, CancellationToken stop);
}
