using AftercarePortal.Web.Jobs;

namespace AftercarePortal.Web.Tests.Contracts;

/// <summary>A job handler that does what the test says, whole and real otherwise.</summary>
internal sealed class Told_handler(Func<string, CancellationToken, Task> what, string kind = Told_handler.KindName) : IJobHandler
{
    public const string KindName = "told";

    public string Kind => kind;

    public Task Run(string subject, CancellationToken stop) => what(subject, stop);
}
