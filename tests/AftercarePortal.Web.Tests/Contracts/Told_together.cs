using AftercarePortal.Web.Jobs;
using NodaTime;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>A handler of several jobs at once that does what the test says.</summary>
internal sealed class Told_together(Func<IReadOnlyList<string>, CancellationToken, Task<IReadOnlyCollection<string>>> together, Func<string, CancellationToken, Task> alone) : IJobsTogether
{
    public const string KindName = "told together";

    public string Kind => KindName;

    public int Most => 5;

    public Task Run(string subject, CancellationToken stop) => alone(subject, stop);

    public Task<IReadOnlyCollection<string>> Run(IReadOnlyList<string> subjects, Instant until, CancellationToken stop) => together(subjects, stop);
}
