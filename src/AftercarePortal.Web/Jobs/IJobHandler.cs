namespace AftercarePortal.Web.Jobs;

/// <summary>Does one kind of job. May run twice for one job; must act once.</summary>
internal interface IJobHandler
{
    /// <summary>The kind this handler does.</summary>
    string Kind { get; }

    /// <summary>Does it. Throwing means: keep it and try again later.</summary>
    Task Run(string subject, CancellationToken stop);
}
